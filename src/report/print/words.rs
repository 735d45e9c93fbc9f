//! Lists, plurals and capitals.
//!
//! In: pieces of a sentence. Out: the sentence.
//! This module never decides what is said, only how it is called.

use super::numbers::plain;

/// `61 runs`, `1 run`.
pub fn count(number: usize, what: &str) -> String {
    if number == 1 {
        format!("1 {what}")
    } else {
        format!("{number} {what}s")
    }
}

/// `twice`, `three times`, `2.5 times`: how often a bound holds its unit.
pub fn times_in_words(factor: f64) -> String {
    const NUMBERS: [&str; 7] = ["three", "four", "five", "six", "seven", "eight", "nine"];
    if factor == 1.0 {
        return "once".into();
    }
    if factor == 2.0 {
        return "twice".into();
    }
    let spelt = (3u8..)
        .zip(NUMBERS)
        .find(|(number, _)| f64::from(*number) == factor)
        .map(|(_, word)| word.to_string());
    format!("{} times", spelt.unwrap_or_else(|| plain(factor)))
}

/// `a, b and c`.
pub fn and_list<T: AsRef<str>>(items: impl IntoIterator<Item = T>) -> String {
    listed(items, " and ")
}

/// `a, b or c`.
pub fn or_list<T: AsRef<str>>(items: impl IntoIterator<Item = T>) -> String {
    listed(items, " or ")
}

fn listed<T: AsRef<str>>(items: impl IntoIterator<Item = T>, last: &str) -> String {
    let items: Vec<T> = items.into_iter().collect();
    match items.split_last() {
        Some((end, front)) if !front.is_empty() => joined(front, ", ") + last + end.as_ref(),
        _ => joined(items, ""),
    }
}

/// Texts with something between each two of them.
pub fn joined<T: AsRef<str>>(items: impl IntoIterator<Item = T>, between: &str) -> String {
    let mut items = items.into_iter();
    let mut text = items
        .next()
        .map_or_else(String::new, |first| first.as_ref().to_string());
    for item in items {
        text.push_str(between);
        text.push_str(item.as_ref());
    }
    text
}

/// A text with these before and behind it; nothing where there is none.
pub fn around(before: &str, text: &str, behind: &str) -> String {
    match text {
        "" => String::new(),
        text => format!("{before}{text}{behind}"),
    }
}

/// A text where something holds; nothing elsewhere.
pub fn when(holds: bool, text: &str) -> &str {
    if holds { text } else { "" }
}

/// The text with its first letter large.
pub fn capital(text: &str) -> String {
    let mut characters = text.chars();
    match characters.next() {
        Some(first) => first.to_uppercase().collect::<String>() + characters.as_str(),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_whole_factors_are_spelt() {
        let words: Vec<String> = [1.0, 2.0, 3.0, 9.0, 10.0, 2.5]
            .into_iter()
            .map(times_in_words)
            .collect();
        assert_eq!(
            words.join(", "),
            "once, twice, three times, nine times, 10 times, 2.5 times"
        );
    }
}
