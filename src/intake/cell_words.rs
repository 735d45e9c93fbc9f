//! What the text of a cell is besides a name: a word for a missing value, no reason, an invisible character.
//!
//! In: the text of a cell. Out: yes or no, or the character.
//! This module never decides what happens to the row.
//!
//! # Source
//! The words are those that spreadsheets and people leave in logs: common practice, no source. Characters without width or that
//! turn the direction of writing: the Unicode Standard, general category Cf and its default ignorable code points.

/// Words for a value that is not there, in lower case and without `#`, `!`, brackets and full stops.
const MISSING: [&str; 15] = [
    "na", "n/a", "n\\a", "nan", "null", "nil", "none", "void", "missing", "unknown", "tbd", "nd",
    "n/d", "div/0", "error",
];

/// Those that a spreadsheet writes behind `#`; alone they are words like others.
const OF_SPREADSHEET: [&str; 7] = ["ref", "value", "name", "num", "err", "nv", "bezug"];

/// Signs that stand alone for a value that is not there.
const SIGNS: &str = "-\u{2010}\u{2011}\u{2012}\u{2013}\u{2014}\u{2212}?.*_/\u{bf}";

/// Words that say no.
const NO: [&str; 16] = [
    "no", "not", "nope", "none", "nil", "null", "nan", "n/a", "false", "never", "nothing", "empty",
    "keep", "use", "used", "unset",
];

/// Letters that the shortest reason has.
const SHORTEST_REASON: usize = 3;

/// Whether a text stands for a value that is not there: `n/a`, `#REF!`, `NaN`, `-`, `?`.
pub(super) fn is_missing(text: &str) -> bool {
    // Most names hold a figure, and no such word does but one that begins with `#`.
    if !text.starts_with('#') && text.bytes().any(|byte| byte.is_ascii_digit()) {
        return text.eq_ignore_ascii_case("div/0!") || text.eq_ignore_ascii_case("div/0");
    }
    // Most others are letters alone.
    if text.bytes().all(|byte| byte.is_ascii_alphabetic()) {
        return MISSING.iter().any(|word| word.eq_ignore_ascii_case(text));
    }
    if text.chars().all(|sign| SIGNS.contains(sign)) {
        return true;
    }
    let is = |word: &&str| {
        let letters = text.chars().filter(|sign| !"#!().<>[]?".contains(*sign));
        let mut letters = letters
            .flat_map(char::to_lowercase)
            .skip_while(|sign| sign.is_whitespace());
        word.chars().all(|letter| letters.next() == Some(letter))
            && letters.all(char::is_whitespace)
    };
    MISSING.iter().any(is) || text.starts_with('#') && OF_SPREADSHEET.iter().any(is)
}

/// Whether a text is a reason: three letters that do not say no.
pub(super) fn is_reason(text: &str) -> bool {
    let letters = text.chars().filter(|sign| sign.is_alphabetic()).count();
    let bare = text.trim_end_matches(['.', '!']).trim().to_lowercase();
    letters >= SHORTEST_REASON && !NO.contains(&bare.as_str()) && !is_missing(text)
}

/// The first character that nobody sees: without width, or one that turns the direction of writing.
pub(super) fn invisible(text: &str) -> Option<char> {
    if text.is_ascii() {
        return None;
    }
    text.chars().find(|sign| {
        matches!(sign,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}'
            | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{feff}' | '\u{ffa0}'
            | '\u{fff9}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}' | '\u{e0000}'..='\u{e0fff}')
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_spreadsheets_for_nothing_are_told_from_names() {
        for text in [
            "#N/A",
            "NaN",
            "-",
            "--",
            "?",
            "#REF!",
            "#VALUE!",
            "#DIV/0!",
            "n/a",
            "N.A.",
            "none",
            "NULL",
            "(unknown)",
            "\u{2013}",
        ] {
            assert!(is_missing(text), "{text}");
        }
        for text in [
            "hob",
            "name",
            "value",
            "-1",
            "A",
            "none of these",
            "15",
            "na2",
            "range",
        ] {
            assert!(!is_missing(text), "{text}");
        }
    }

    #[test]
    fn a_reason_has_three_letters_and_says_more_than_no() {
        for text in [
            "no", "-", "0", "false", "n", "none", "x", "No.", "NaN", "12", "n/a",
        ] {
            assert!(!is_reason(text), "{text}");
        }
        for text in ["spilt", "boiled over", "bad", "not dried"] {
            assert!(is_reason(text), "{text}");
        }
    }

    #[test]
    fn what_nobody_sees_is_found() {
        for sign in ['\u{200b}', '\u{feff}', '\u{ad}', '\u{202e}', '\u{2066}'] {
            assert_eq!(invisible(&format!("mu{sign}ffle")), Some(sign));
        }
        assert_eq!(invisible("m\u{fc}ffel \u{1f9ea}\u{a0}"), None);
    }
}
