//! How a name from a log is made harmless.
//!
//! In: any text. Out: the same text, inert in Markdown, in CSV or on a terminal.
//! This module never shortens or changes what is read.

/// How a name from a log is written: as Markdown, for a terminal, or as it is.
pub type Naming = fn(&str) -> String;

/// Text for Markdown: what could become a tag, a link, a cell or code is written as an entity.
pub fn markdown(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '|' => out.push_str("&#124;"),
            '`' => out.push_str("&#96;"),
            '[' => out.push_str("&#91;"),
            ']' => out.push_str("&#93;"),
            '*' => out.push_str("&#42;"),
            '\\' => out.push_str("&#92;"),
            '~' => out.push_str("&#126;"),
            '\n' | '\r' | '\t' => out.push(' '),
            c if c.is_control() => {}
            c => out.push(c),
        }
    }
    out
}

/// Text for a cell of a table, which its printer makes harmless.
pub fn raw(text: &str) -> String {
    text.to_string()
}

/// Text for a terminal: control characters of a name must not reach one.
pub fn one_line(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}

/// A cell of a CSV table: quoted where needed; a text that a spreadsheet would take for a formula gets a `'`.
pub fn csv(text: &str) -> String {
    let guarded = if text.starts_with(['=', '+', '-', '@']) {
        format!("'{text}")
    } else {
        text.to_string()
    };
    if guarded.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", guarded.replace('"', "\"\""))
    } else {
        guarded
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_in_a_name_stays_alive_in_markdown() {
        let hostile = "<script>|`x`[a](b)&";
        let text = markdown(hostile);
        assert!(!text.contains(['<', '>', '|', '`', '[', ']']));
        assert_eq!(markdown("a&b"), "a&amp;b");
    }

    #[test]
    fn a_formula_becomes_a_text() {
        assert_eq!(csv("=1+1"), "'=1+1");
        assert_eq!(csv("a,b"), "\"a,b\"");
        assert_eq!(csv("plain"), "plain");
    }
}
