//! How a name from a log is made harmless.
//!
//! In: any text. Out: the same text, inert in Markdown, in CSV or on a terminal.
//! This module never shortens a text, and never hides what it holds: what has no shape is written as its number.

/// How a name from a log is written: as Markdown, for a terminal, or as it is.
pub type Naming = fn(&str) -> String;

/// Text for Markdown: what could become a tag, a link, a formula, emphasis or a cell is written as an entity, an address as
/// code, which no reader turns into a link; what stands between two backticks is code, in which nothing acts.
pub fn markdown(text: &str) -> String {
    let text = one_line(text);
    let marks_a_block = marks_a_block(&text);
    let mut out = String::with_capacity(text.len());
    let mut rest = text.as_str();
    while let Some(c) = rest.chars().next() {
        let before = text[..text.len() - rest.len()].chars().next_back();
        let word = &rest[..rest.find(|c| !is_of_address(c)).unwrap_or(rest.len())];
        let word = word.trim_end_matches(['.', ':', '?']);
        if !before.is_some_and(is_of_address) && is_address(word) {
            out.push_str(&format!("`{word}`"));
            rest = &rest[word.len()..];
            continue;
        }
        if let Some(code) = code_span(rest) {
            out.push_str(code);
            rest = &rest[code.len()..];
            continue;
        }
        rest = &rest[c.len_utf8()..];
        let starts = before.is_none() && marks_a_block;
        match entity(c) {
            Some(_) if is_inert(c, before, rest) => out.push(c),
            Some(entity) => out.push_str(entity),
            None if starts => out.push_str(&format!("&#{};", u32::from(c))),
            None if c == '_' && !is_inside_a_word(&text, text.len() - rest.len()) => {
                out.push_str("&#95;");
            }
            None => out.push(c),
        }
    }
    out
}

/// The code that a text begins with, its backticks included; none that a table would cut.
///
/// # Source
/// CommonMark 0.31.2, section 6.1; GitHub Flavored Markdown 0.29, section 4.10.
fn code_span(text: &str) -> Option<&str> {
    let inside = text.strip_prefix('`')?;
    let length = inside.find('`').filter(|length| *length > 0)?;
    let code = &inside[..length];
    let is_one_run = !inside[length + 1..].starts_with('`');
    (is_one_run && !code.contains('|') && !code.trim().is_empty()).then(|| &text[..length + 2])
}

/// Whether a mark does nothing where it stands: between this letter before and this text behind it.
///
/// # Source
/// CommonMark 0.31.2, sections 2.5, 5.1, 6.2 and 6.6.
fn is_inert(c: char, before: Option<char>, behind: &str) -> bool {
    let next = behind.chars().next();
    let blank = |c: Option<char>| c.is_none_or(char::is_whitespace);
    match c {
        '&' => !next.is_some_and(|c| c == '#' || c.is_ascii_alphabetic()),
        '<' => !next.is_some_and(|c| "/!?".contains(c) || c.is_ascii_alphabetic()),
        '>' => before.is_some(),
        '*' => before.is_some() && blank(before) && blank(next),
        _ => false,
    }
}

fn entity(c: char) -> Option<&'static str> {
    Some(match c {
        '&' => "&amp;",
        '<' => "&lt;",
        '>' => "&gt;",
        '|' => "&#124;",
        '`' => "&#96;",
        '[' => "&#91;",
        ']' => "&#93;",
        '*' => "&#42;",
        '\\' => "&#92;",
        '~' => "&#126;",
        '$' => "&#36;",
        _ => return None,
    })
}

/// Whether a text begins as a heading, a list or a rule does.
///
/// # Source
/// CommonMark 0.31.2, sections 4.1 to 4.3 and 5.2.
fn marks_a_block(text: &str) -> bool {
    let stands_alone = |rest: &str| rest.is_empty() || rest.starts_with(' ');
    let behind = |marks: &[char]| text.trim_start_matches(marks);
    let is_rule = !text.trim().is_empty() && behind(&['-', '=', '_', ' ']).is_empty();
    let is_heading = text.starts_with('#') && stands_alone(behind(&['#']));
    let is_item = ['-', '+']
        .iter()
        .any(|mark| text.strip_prefix(*mark).is_some_and(stands_alone));
    is_rule || is_heading || is_item
}

/// Whether the underscores that end at this place have a letter or digit on both sides, so that they emphasise nothing.
///
/// # Source
/// CommonMark 0.31.2, section 6.2, rules 2 and 4.
fn is_inside_a_word(text: &str, end: usize) -> bool {
    let before = text[..end].trim_end_matches('_').chars().next_back();
    let behind = text[end..].trim_start_matches('_').chars().next();
    [before, behind]
        .iter()
        .all(|c| c.is_some_and(char::is_alphanumeric))
}

/// What an address is made of, as far as it needs no entity.
fn is_of_address(c: char) -> bool {
    c.is_ascii_alphanumeric() || "._+-@:/?=%#".contains(c)
}

/// Whether a reader of Markdown could make a link of a word.
///
/// # Source
/// GitHub Flavored Markdown 0.29, section 6.9, taken wider: whatever holds its marks.
fn is_address(word: &str) -> bool {
    let lower = word.to_ascii_lowercase();
    let marks = ["://", "www.", "mailto:", "xmpp:"];
    let is_mail = word
        .split_once('@')
        .is_some_and(|(name, place)| !name.is_empty() && place.contains('.'));
    is_mail || marks.iter().any(|mark| lower.contains(mark))
}

/// Text for a cell of a table, which its printer makes harmless.
pub fn raw(text: &str) -> String {
    text.to_string()
}

/// Text that stays on one line of a terminal: blanks for its ends of lines, and the rest [`visible`].
pub fn one_line(text: &str) -> String {
    visible(&text.replace(['\n', '\r', '\t'], " "))
}

/// The text with everything that steers a terminal or turns the direction of reading written as `\u001b`, as JSON writes it;
/// ends of lines and tabs stay, and so does a JSON text what it says.
///
/// # Source
/// Control characters: Unicode 16, category Cc. Marks of direction: Unicode Standard Annex 9, section 2. Marks without a shape:
/// Unicode 16, chapter 23.2 and 23.9. `\u`: RFC 8259, section 7.
pub fn visible(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((place, c)) = rest.char_indices().find(|(_, c)| steers(*c)) {
        out.push_str(&rest[..place]);
        let mut units = [0; 2];
        for unit in c.encode_utf16(&mut units) {
            out.push_str(&format!("\\u{unit:04x}"));
        }
        rest = &rest[place + c.len_utf8()..];
    }
    out.push_str(rest);
    out
}

/// The same of a whole file, which nearly always stays as it is.
pub fn made_visible(text: String) -> String {
    match text.contains(steers) {
        true => visible(&text),
        false => text,
    }
}

fn steers(c: char) -> bool {
    // Nearly all of any text.
    if matches!(c, ' '..='~') {
        return false;
    }
    let of_direction = matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let without_shape = matches!(c, '\u{200b}' | '\u{2028}' | '\u{2029}' | '\u{2060}'..='\u{2064}' | '\u{feff}' | '\u{e0000}'..='\u{e007f}');
    of_direction || without_shape || (c.is_control() && !matches!(c, '\n' | '\t'))
}

/// A cell of a CSV table: quoted where needed; what a spreadsheet would take for a formula gets a `'`, also where it would
/// split the cell at a `;`, a tab or the end of a line.
pub fn csv(text: &str) -> String {
    let mut guarded = String::with_capacity(text.len() + 2);
    for piece in text.split_inclusive([';', '\t', '\n', '\r']) {
        let is_formula = |c| matches!(c, '=' | '+' | '-' | '@' | '＝' | '＋' | '－' | '＠');
        if piece.trim_start_matches([' ', '"']).starts_with(is_formula) {
            guarded.push('\'');
        }
        guarded.push_str(piece);
    }
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
        let hostile = "<script>|`[a](b)&$x$ *y* ~z~";
        let text = markdown(hostile);
        assert!(!text.contains(['<', '|', '`', '[', ']', '$', '*', '~']));
        assert_eq!(markdown("a&b"), "a&amp;b");
        for plain in ["a & b", "p < 0.1 %", "a > b", "2 * 3", "5 &"] {
            assert_eq!(markdown(plain), plain);
        }
        assert_eq!(markdown("> a"), "&gt; a");
    }

    #[test]
    fn what_stands_between_backticks_is_code_unless_a_table_would_cut_it() {
        for code in [
            "say `u_assay`",
            "`a` and `[check] accept = [\"x\"]`",
            "`<b>`",
        ] {
            assert_eq!(markdown(code), code);
        }
        assert_eq!(markdown("`a|b`"), "&#96;a&#124;b&#96;");
        assert_eq!(markdown("a`b"), "a&#96;b");
        assert_eq!(markdown("``"), "&#96;&#96;");
        assert_eq!(markdown("`a``b"), "&#96;a&#96;&#96;b");
    }

    #[test]
    fn an_underscore_stays_where_it_is_inert() {
        assert_eq!(markdown("feed_mass, u__x"), "feed_mass, u__x");
        assert_eq!(markdown("_x_ a_ _b"), "&#95;x&#95; a&#95; &#95;b");
    }

    #[test]
    fn an_address_is_code_and_a_word_like_it_is_not() {
        assert_eq!(
            markdown("at http://a.test/x_y|z"),
            "at `http://a.test/x_y`&#124;z"
        );
        assert_eq!(markdown("(www.a.test)"), "(`www.a.test`)");
        assert_eq!(markdown("to a.b@c.test."), "to `a.b@c.test`.");
        for plain in ["60 @ 2 h", "1:2", "24/25", "a; b", "@x", "60@80"] {
            assert_eq!(markdown(plain), plain);
        }
    }

    #[test]
    fn a_text_begins_no_block() {
        assert_eq!(markdown("# x"), "&#35; x");
        assert_eq!(markdown("- x"), "&#45; x");
        assert_eq!(markdown("---"), "&#45;--");
        for plain in ["#1", "+1.3 %", "-1", "a - b", " "] {
            assert_eq!(markdown(plain), plain);
        }
    }

    #[test]
    fn what_steers_a_terminal_is_shown() {
        assert_eq!(
            visible("\u{1b}[31m\u{202e}x\u{9b}"),
            "\\u001b[31m\\u202ex\\u009b"
        );
        assert_eq!(visible("a\n\tb é −"), "a\n\tb é −");
        assert_eq!(one_line("a\nb\r\tc\u{7}"), "a b  c\\u0007");
        let tag = "\u{e0041}";
        let read: String = serde_json::from_str(&visible(&format!("\"{tag}\""))).unwrap();
        assert_eq!(read, tag);
    }

    #[test]
    fn a_formula_becomes_a_text() {
        assert_eq!(csv("=1+1"), "'=1+1");
        assert_eq!(csv("a,b"), "\"a,b\"");
        assert_eq!(csv("plain"), "plain");
        assert_eq!(csv("a;=cmd"), "a;'=cmd");
        assert_eq!(csv("a\t@x\n-1"), "\"a\t'@x\n'-1\"");
        assert_eq!(csv("a; \"+1"), "\"a;' \"\"+1\"");
    }
}
