//! What the words of a report mean here.
//!
//! In: a word. Out: its meaning in a sentence or two, and the list of all words.
//! This module never teaches a method: it says what a reader of a report has to know.
//!
//! Common practice, no source, except where a standard is named.

use super::print::{Page, or_list};

/// All words in alphabetical order, a line each: the word, a tab, what it means here.
const WORDS: &str = include_str!("words.txt");

/// The words, each with what it means here.
fn words() -> impl Iterator<Item = (&'static str, &'static str)> {
    WORDS.lines().filter_map(|line| line.split_once('\t'))
}

/// What a word means here.
///
/// # Errors
/// A sentence that names the words that are nearest, or all of them.
pub fn explain(asked: &str) -> Result<String, String> {
    let key = |text: &str| text.trim().to_lowercase().replace(['_', '-'], " ");
    let wanted = key(asked);
    // A word may be asked for in the plural.
    let singular = wanted.strip_suffix('s').unwrap_or(&wanted);
    let named = |name: &str| words().find(|(word, _)| key(word) == name);
    if let Some((word, means)) = named(&wanted).or_else(|| named(singular)) {
        return Ok(format!("{word}: {means}"));
    }
    let shares = |word: &str| {
        let word = key(word);
        let mut parts = word.split(' ');
        parts.any(|part| wanted.split(' ').any(|piece| piece == part))
    };
    let names = || words().map(|(word, _)| word);
    let near: Vec<&str> = names().filter(|word| shares(word)).collect();
    let near = if near.is_empty() {
        names().collect()
    } else {
        near
    };
    Err(format!("known words are {}", or_list(near)))
}

/// Writes what all words mean: which of them a report needs, no name in it may change.
pub(super) fn write(page: &mut Page) {
    page.heading(2, "Words");
    page.list(words().map(|(word, means)| format!("{word}: {means}")));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stand_in_their_order_and_each_once() {
        let names: Vec<String> = words().map(|(word, _)| word.to_lowercase()).collect();
        assert_eq!(names.len(), WORDS.lines().count());
        let mut sorted = names.clone();
        sorted.sort();
        sorted.dedup();
        assert_eq!(names, sorted);
    }

    #[test]
    fn a_word_is_found_in_any_spelling_and_others_are_named() {
        assert!(explain("Reference-mix").is_ok_and(|text| text.starts_with("reference mix: ")));
        assert!(explain("crops").is_ok_and(|text| text.starts_with("crop: ")));
        let other = explain("contained product");
        assert_eq!(other, Err("known words are contained yield".into()));
        assert!(explain("quark").is_err_and(|text| text.contains("lot, ")));
    }
}
