//! Small pieces of sentences about effects.
//!
//! In: effects and settings. Out: texts, names from logs made harmless.
//! This module never decides what is said, only how it is called.

use super::aim_words::Naming;
use super::escape::markdown;
use super::numbers::plain;
use super::shown::Shown;
use crate::decide::{Comparison, Effect, Verdict};

/// `heating: hob against muffle`, `oxidant_excess from 10 to 60 %`.
pub(super) fn comparison(effect: &Effect, naming: Naming) -> String {
    let factor = naming(&effect.factor);
    match &effect.comparison {
        Comparison::Level { level, against } => {
            format!("{factor}: {} against {}", naming(level), naming(against))
        }
        Comparison::Span { from, to, at } => {
            let place = match at {
                Some(at) => format!(" with {} {}", naming(&at.factor), naming(&at.level)),
                None => String::new(),
            };
            format!(
                "{factor} from {} to {}{}{place}",
                plain(*from),
                plain(*to),
                unit(effect, naming)
            )
        }
    }
}

fn unit(effect: &Effect, naming: Naming) -> String {
    if effect.unit.is_empty() || effect.unit == "1" {
        String::new()
    } else {
        format!(" {}", naming(&effect.unit))
    }
}

/// The label of an effect in a chart; names stay raw, the chart makes them harmless.
pub(super) fn chart_label(effect: &Effect) -> String {
    match &effect.comparison {
        Comparison::Level { level, against } => format!("{level} against {against}"),
        Comparison::Span { from, to, at } => {
            let place = match at {
                Some(at) => format!(", {}", at.level),
                None => String::new(),
            };
            let unit = if effect.unit.is_empty() || effect.unit == "1" {
                String::new()
            } else {
                format!(" {}", effect.unit)
            };
            format!("{} to {}{unit}{place}", plain(*from), plain(*to))
        }
    }
}

/// What an effect does, in a clause: `hob 4.8 ± 0.9 points below muffle`.
pub(super) fn clause(effect: &Effect, shown: &Shown, naming: Naming) -> String {
    let Ok(estimate) = &effect.estimate else {
        return format!(
            "{}: cannot be told from this log",
            comparison(effect, naming)
        );
    };
    match (&effect.comparison, effect.verdict) {
        (Comparison::Level { level, against }, Verdict::Raises | Verdict::Lowers) => format!(
            "{} {} {} {}",
            naming(level),
            shown.size(estimate),
            if effect.verdict == Verdict::Raises {
                "above"
            } else {
                "below"
            },
            naming(against)
        ),
        (Comparison::Level { level, against }, _) => format!(
            "{} not told from {} ({})",
            naming(level),
            naming(against),
            shown.change(estimate)
        ),
        (Comparison::Span { from, to, at }, verdict) => {
            let place = match at {
                Some(at) => format!(" with {}", naming(&at.level)),
                None => String::new(),
            };
            let what = match verdict {
                Verdict::Raises => format!("{} more", shown.size(estimate)),
                Verdict::Lowers => format!("{} less", shown.size(estimate)),
                _ => format!("nothing that this log can see ({})", shown.change(estimate)),
            };
            format!(
                "from {} to {}{}{place}: {what}",
                plain(*from),
                plain(*to),
                unit(effect, naming)
            )
        }
    }
}

/// The finding as a sentence: `boildown gave 5.6 ± 1.1 points more than chill`.
pub(super) fn sentence(effect: &Effect, shown: &Shown) -> Option<String> {
    let estimate = effect.estimate.as_ref().ok()?;
    let more = match effect.verdict {
        Verdict::Raises => "more",
        Verdict::Lowers => "less",
        Verdict::Negligible | Verdict::NotSeen | Verdict::CannotBeTold => return None,
    };
    let size = shown.size(estimate);
    Some(match &effect.comparison {
        Comparison::Level { level, against } => format!(
            "{} {} gave {size} {more} than {}",
            markdown(&effect.factor),
            markdown(level),
            markdown(against)
        ),
        Comparison::Span { from, to, at } => {
            let place = match at {
                Some(at) => format!("with {} {}, ", markdown(&at.factor), markdown(&at.level)),
                None => String::new(),
            };
            format!(
                "{place}going from {} to {}{} {} gave {size} {more}",
                plain(*from),
                plain(*to),
                unit(effect, markdown),
                markdown(&effect.factor)
            )
        }
    })
}

/// What can be said of an effect, for a table.
pub(super) fn reading(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Raises => "raises it",
        Verdict::Lowers => "lowers it",
        Verdict::Negligible => "too small to matter",
        Verdict::NotSeen => "not seen in this log, not ruled out",
        Verdict::CannotBeTold => "cannot be told",
    }
}

/// `61 runs`, `1 run`.
pub(super) fn count(number: usize, what: &str) -> String {
    if number == 1 {
        format!("1 {what}")
    } else {
        format!("{number} {what}s")
    }
}

/// `twice`, `three times`, `2.5 times`: how often a bound holds its unit.
pub(super) fn times_in_words(factor: f64) -> String {
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
pub(super) fn and_list(items: &[String]) -> String {
    joined(items, "and")
}

/// `a, b or c`.
pub(super) fn or_list(items: &[String]) -> String {
    joined(items, "or")
}

fn joined(items: &[String], word: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [front @ .., last] => format!("{} {word} {last}", front.join(", ")),
    }
}

/// The text with its first letter large.
pub(super) fn capital(text: &str) -> String {
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
