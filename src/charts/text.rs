//! Texts of a picture: cleaned, shortened, wrapped into a width, and made inert.
//!
//! In: names and labels as they were logged. Out: texts that fit, and a document in which they are inert.
//! This module never draws, and never changes a text that is harmless and fits.
//!
//! plotters writes `<`, `>`, `&` and quotes of a text as entities. What else could work in a document that holds the
//! picture (`|`, backtick, brackets) follows in [`seal`], once, on the whole document.

use super::theme;

/// Most characters of a word that is taken for the unit of the number before it.
const LONGEST_UNIT: usize = 4;

/// A text broken into lines, with the size at which they fit.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fitted {
    pub(super) lines: Vec<String>,
    pub(super) size: f64,
}

impl Fitted {
    /// Height of all lines.
    pub(super) fn height(&self) -> f64 {
        self.lines.len() as f64 * self.size * theme::LINE_HEIGHT
    }

    /// Width of the longest line.
    pub(super) fn width(&self) -> f64 {
        widest(self.lines.iter().map(String::as_str), self.size)
    }
}

/// The text without what has no shape: control characters, marks that turn the direction, doubled spaces.
pub(super) fn clean(text: &str) -> String {
    let printable: String = text
        .chars()
        .filter(|letter| {
            !matches!(letter, '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
        })
        .map(|letter| match letter {
            '\u{FFFE}' | '\u{FFFF}' => '\u{FFFD}',
            letter if letter.is_control() => ' ',
            letter => letter,
        })
        .collect();
    printable.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The text as content of an element that plotters does not write.
pub(super) fn escape(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
        .replace('\'', "&apos;")
}

/// The document with bars, backticks and brackets as entities; its own syntax has none of them.
pub(super) fn seal(document: &str) -> String {
    document
        .replace('|', "&#124;")
        .replace('`', "&#96;")
        .replace('[', "&#91;")
        .replace(']', "&#93;")
}

/// The text with at most `most` characters, the last one an ellipsis if there were more.
pub(super) fn shorten(text: &str, most: usize) -> String {
    let text = clean(text);
    if text.chars().count() <= most {
        return text;
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

/// Width of the widest text in points of the picture; zero without any.
pub(super) fn widest<'a>(names: impl Iterator<Item = &'a str>, size: f64) -> f64 {
    names.map(|name| width(name, size)).fold(0.0, f64::max)
}

/// Width of a text in points of the picture.
///
/// # Assumes
/// A wide sans-serif face: the reader's is not known, and too much room does no harm.
pub(super) fn width(text: &str, size: f64) -> f64 {
    text.chars().map(|letter| share(letter) * size).sum()
}

/// Width of a character in units of the size; read off a wide sans-serif face and rounded up.
fn share(letter: char) -> f64 {
    match letter {
        'i' | 'j' | 'l' | 'I' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | '·' | ' ' => 0.34,
        'f' | 't' | 'r' | '(' | ')' | '[' | ']' | '/' | '\\' | '-' | '"' => 0.44,
        'm' | 'M' | 'W' | '@' | '%' | '…' | '—' => 1.0,
        'w' | 'D' | 'G' | 'H' | 'N' | 'O' | 'Q' | 'U' | '±' | '−' | '×' | '=' | '+' | '<' | '>' => {
            0.84
        }
        letter if letter.is_ascii_uppercase() => 0.72,
        letter if letter.is_ascii() => 0.65,
        letter if letter < '\u{1100}' => 0.72,
        _ => 1.05,
    }
}

/// The text in at most `most_lines` lines of a width: at `size` if that is enough, else smaller, else shortened.
pub(super) fn fit(
    text: &str,
    room: f64,
    size: f64,
    smallest_size: f64,
    most_lines: usize,
) -> Fitted {
    let text = clean(text);
    let mut size = size;
    let mut lines = wrap(&text, room, size);
    while lines.len() > most_lines && size > smallest_size {
        size = (size - 1.0).max(smallest_size);
        lines = wrap(&text, room, size);
    }
    if lines.len() > most_lines {
        lines.truncate(most_lines);
        if let Some(last) = lines.last_mut() {
            while !last.is_empty() && width(last, size) + width("…", size) > room {
                last.pop();
            }
            last.push('…');
        }
    }
    Fitted { lines, size }
}

/// The words of a text in lines of a width; a word that is wider than a line is broken.
fn wrap(text: &str, room: f64, size: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in words(text) {
        let joined = if line.is_empty() {
            word.clone()
        } else {
            format!("{line} {word}")
        };
        if width(&joined, size) <= room {
            line = joined;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for letter in word.chars() {
            if !line.is_empty() && width(&line, size) + share(letter) * size > room {
                lines.push(std::mem::take(&mut line));
            }
            line.push(letter);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// The words of a text, a number together with the short unit behind it.
fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        match words.last_mut() {
            // A unit joins its number once: what they make together is no number any more.
            Some(last) if last.parse::<f64>().is_ok() && word.chars().count() <= LONGEST_UNIT => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_string()),
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_that_fits_stays_as_it_is() {
        let fitted = fit("What did the runs give?", 800.0, 18.0, 14.0, 3);
        assert_eq!(fitted.lines, ["What did the runs give?"]);
        assert_eq!(fitted.size, 18.0);
    }

    #[test]
    fn a_long_text_wraps_then_shrinks_then_ends_in_an_ellipsis() {
        let words = "one two three four five six seven eight";
        assert_eq!(fit(words, 200.0, 18.0, 14.0, 3).size, 18.0);
        assert!(fit(words, 170.0, 18.0, 9.0, 2).size < 18.0);
        let cut = fit(words, 80.0, 18.0, 14.0, 2);
        assert_eq!(cut.lines.len(), 2);
        assert!(cut.lines[1].ends_with('…'));
        assert!(cut.width() <= 80.0);
    }

    #[test]
    fn a_word_without_spaces_is_broken_rather_than_clipped() {
        let fitted = fit(&"a".repeat(300), 200.0, 18.0, 14.0, 40);
        assert!(fitted.width() <= 200.0);
        assert_eq!(fitted.lines.concat().len(), 300);
    }

    #[test]
    fn a_number_stays_with_its_unit() {
        let fitted = fit("specification 98.5 %", 140.0, 13.0, 13.0, 3);
        assert_eq!(fitted.lines, ["specification", "98.5 %"]);
    }

    #[test]
    fn only_names_beyond_the_limit_are_shortened() {
        assert_eq!(shorten("boildown", 28), "boildown");
        let long = "µ".repeat(29);
        assert_eq!(shorten(&long, 28), format!("{}…", "µ".repeat(27)));
    }

    #[test]
    fn control_characters_and_turned_directions_leave_no_trace() {
        assert_eq!(clean("B\u{0}-\u{202E}001\n\t x"), "B -001 x");
    }

    #[test]
    fn the_four_signs_that_plotters_leaves_become_entities() {
        assert_eq!(seal("a|b`[x](y)"), "a&#124;b&#96;&#91;x&#93;(y)");
    }
}
