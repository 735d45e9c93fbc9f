//! What stands in a table and in a picture, for a test that must not trust who wrote them?
//!
//! In: text of a CSV table or an SVG picture. Out: its cells, or a panic where the markup is not well-formed.
//! This module never knows residuum.

/// Entities that XML has by itself.
/// Source: Extensible Markup Language (XML) 1.0, fifth edition, 4.6.
const ENTITIES: [&str; 5] = ["amp", "lt", "gt", "quot", "apos"];

/// Cells of a table as RFC 4180 reads them, row by row.
pub fn cells(text: &str) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    let mut row = Vec::new();
    let mut cell = String::new();
    let mut quoted = false;
    let mut characters = text.chars().peekable();
    while let Some(c) = characters.next() {
        match c {
            '"' if quoted && characters.peek() == Some(&'"') => {
                characters.next();
                cell.push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => row.push(std::mem::take(&mut cell)),
            '\n' if !quoted => {
                row.push(std::mem::take(&mut cell));
                rows.push(std::mem::take(&mut row));
            }
            _ => cell.push(c),
        }
    }
    assert!(
        !quoted && cell.is_empty() && row.is_empty(),
        "the table ends within a row"
    );
    rows
}

/// Names of all elements of a picture; panics where it is not well-formed.
///
/// Takes no doctype, comment or CDATA section: a chart needs none.
///
/// # Source
/// Extensible Markup Language (XML) 1.0, fifth edition, 2.2 (characters), 2.4 (text), 3.1 (tags).
pub fn elements(xml: &str) -> Vec<String> {
    let odd = xml.chars().find(|c| {
        (c.is_control() && !matches!(c, '\n' | '\r' | '\t')) || matches!(c, '\u{fffe}' | '\u{ffff}')
    });
    assert_eq!(odd, None, "a character that XML does not allow");
    let mut open: Vec<&str> = Vec::new();
    let mut names = Vec::new();
    let mut rest = xml.trim_end();
    while let Some(start) = rest.find('<') {
        check_text(&rest[..start]);
        let end = start + end_of_tag(&rest[start..]);
        let tag = &rest[start + 1..end];
        rest = &rest[end + 1..];
        if tag.starts_with('?') {
            continue;
        }
        let name = tag
            .trim_matches('/')
            .split_whitespace()
            .next()
            .unwrap_or_default();
        assert!(
            !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric()),
            "tag <{tag}>"
        );
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(name), "closes what is not open");
        } else {
            names.push(name.to_string());
            if !tag.ends_with('/') {
                open.push(name);
            }
        }
    }
    assert_eq!(rest, "", "text behind the last tag");
    assert!(open.is_empty(), "never closed: {open:?}");
    names
}

/// Where a tag ends; the values of its attributes stand in quotes and hold no `<`.
fn end_of_tag(text: &str) -> usize {
    let mut quote = None;
    let mut value = String::new();
    for (position, c) in text.char_indices().skip(1) {
        match (quote, c) {
            (None, '>') => return position,
            (None, '"' | '\'') => quote = Some(c),
            (Some(open), _) if open == c => {
                check_text(&std::mem::take(&mut value));
                quote = None;
            }
            (Some(_), _) => value.push(c),
            (None, '<') => panic!("`<` within a tag"),
            (None, _) => {}
        }
    }
    panic!("a tag is never closed");
}

fn check_text(text: &str) {
    assert!(!text.contains('<'), "`<` in a value: {text}");
    for part in text.split('&').skip(1) {
        let name = part.split(';').next().unwrap_or_default();
        let known = ENTITIES.contains(&name) || name.starts_with('#');
        assert!(known && part.contains(';'), "`&` begins no entity: {part}");
    }
}

#[test]
fn markup_in_a_value_or_left_open_is_noticed() {
    for bad in [
        "<a><b></a>",
        "<a>",
        "<a b=\"<\"/>",
        "<a>x & y</a>",
        "<a>\u{1}</a>",
        "<a></a>x",
    ] {
        assert!(std::panic::catch_unwind(|| elements(bad)).is_err(), "{bad}");
    }
    assert_eq!(elements("<?xml?><a b='1'><c/>&lt;x</a>\n"), ["a", "c"]);
}
