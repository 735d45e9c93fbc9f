//! Cells of a column that nobody described yet, in short.
//!
//! In: texts of cells. Out: [`Values`], and the decimal mark that they show.
//! This module never knows what a column means.

use std::collections::BTreeMap;

use crate::campaign::Decimal;
use crate::intake::cell_words::is_missing;

/// Most different words of a column that can be levels of a choice.
const MOST_LEVELS: usize = 12;

/// What the cells of a column hold.
#[derive(Debug, Clone, PartialEq)]
pub enum Values {
    /// Nothing.
    Empty,
    /// Numbers for the most part: the least and the largest, and how many other texts stand among them.
    Numbers {
        /// The least.
        low: f64,
        /// The largest.
        high: f64,
        /// Texts that are no numbers.
        others: usize,
    },
    /// Few words again and again, each with how often it stands.
    Levels(Vec<(String, usize)>),
    /// Other texts.
    Texts {
        /// How many cells hold one.
        count: usize,
    },
}

/// Decimal marks that numbers show beyond doubt.
#[derive(Debug, Default)]
pub(super) struct MarksSeen {
    points: usize,
    commas: usize,
}

impl MarksSeen {
    /// The mark that more numbers show.
    pub fn decimal(&self) -> Option<Decimal> {
        match self.points.cmp(&self.commas) {
            std::cmp::Ordering::Greater => Some(Decimal::Point),
            std::cmp::Ordering::Less => Some(Decimal::Comma),
            std::cmp::Ordering::Equal => None,
        }
    }

    fn look(&mut self, text: &str) {
        for (mark, count) in [('.', &mut self.points), (',', &mut self.commas)] {
            if let Some((before, behind)) = text.rsplit_once(mark) {
                let figures = behind.bytes().take_while(u8::is_ascii_digit).count();
                // Three figures may be a group of thousands, but not behind a zero.
                let is_group = figures == 3 && !is_less_than_one(before);
                *count += usize::from(figures > 0 && !is_group);
            }
        }
    }
}

pub(super) fn of<'c>(
    cells: impl Iterator<Item = Option<&'c str>>,
    marks: &mut MarksSeen,
) -> Values {
    let texts: Vec<&str> = cells.flatten().filter(|text| !is_missing(text)).collect();
    if texts.is_empty() {
        return Values::Empty;
    }
    // What the other cells of the column show decides about `1.234`.
    let mut own = MarksSeen::default();
    texts.iter().for_each(|text| own.look(text));
    let mark = own.decimal().map(|decimal| match decimal {
        Decimal::Point => '.',
        Decimal::Comma => ',',
    });
    let numbers = texts.iter().map(|text| Some((*text, number(text, mark)?)));
    let numbers: Vec<(&str, f64)> = numbers.flatten().collect();
    if 2 * numbers.len() > texts.len() {
        numbers.iter().for_each(|(text, _)| marks.look(text));
        let values = || numbers.iter().map(|(_, value)| *value);
        return Values::Numbers {
            low: values().fold(f64::INFINITY, f64::min),
            high: values().fold(f64::NEG_INFINITY, f64::max),
            others: texts.len() - numbers.len(),
        };
    }
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for text in &texts {
        *counts.entry(text).or_default() += 1;
    }
    if counts.len() <= MOST_LEVELS && 2 * counts.len() <= texts.len() {
        let levels = counts.into_iter().map(|(text, count)| (text.into(), count));
        let mut levels: Vec<(String, usize)> = levels.collect();
        levels.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
        return Values::Levels(levels);
    }
    Values::Texts { count: texts.len() }
}

/// A number however its marks are written, for its size alone.
fn number(text: &str, mark: Option<char>) -> Option<f64> {
    let bare = text.trim_end_matches('%').trim();
    let is_blank = |sign: &char| " \u{a0}\u{202f}\u{2009}'".contains(*sign);
    let bare: String = bare.chars().filter(|sign| !is_blank(sign)).collect();
    let groups: Vec<&str> = bare.split(['.', ',']).collect();
    // Several marks part thousands, so what stands between two of them has three figures: `02.03.2026` is no number.
    if groups.len() > 2
        && groups[1..groups.len() - 1]
            .iter()
            .any(|group| group.len() != 3)
    {
        return None;
    }
    let decimal = bare.rfind(['.', ',']).filter(|at| {
        // One group of three figures behind the only mark is a group of thousands, unless the column shows otherwise.
        bare.len() - at != 4
            || bare.matches(['.', ',']).count() > 1
            || is_less_than_one(&bare[..*at])
            || mark.is_some_and(|mark| bare[*at..].starts_with(mark))
    });
    let plain: String = bare
        .char_indices()
        .filter(|(at, sign)| Some(*at) == decimal || !matches!(sign, '.' | ','))
        .map(|(at, sign)| if Some(at) == decimal { '.' } else { sign })
        .collect();
    let is_of_number = |sign: char| sign.is_ascii_digit() || "+-.eE".contains(sign);
    let is_number = plain.chars().all(is_of_number);
    let value = plain.parse().ok().filter(|_| is_number);
    value.filter(|value: &f64| value.is_finite())
}

/// Whether what stands before a mark is no number of thousands: nothing or a zero.
fn is_less_than_one(before: &str) -> bool {
    let figures = before.trim_start_matches(['-', '+']);
    figures.is_empty() || figures.starts_with('0')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_levels_and_remarks_are_told_apart() {
        let of = |texts: &[&str]| {
            super::of(
                texts.iter().map(|text| Some(*text)),
                &mut MarksSeen::default(),
            )
        };
        assert_eq!(
            of(&["2,114.6", "1e999", "441.7", "n/a"]),
            Values::Numbers {
                low: 441.7,
                high: 2114.6,
                others: 1
            }
        );
        let range = |low, high| Values::Numbers {
            low,
            high,
            others: 0,
        };
        assert_eq!(of(&["0.123", "0.987"]), range(0.123, 0.987));
        assert_eq!(of(&["0,123", "1,234"]), range(0.123, 1.234));
        assert_eq!(of(&["1,234", "2,114"]), range(1234.0, 2114.0));
        assert_eq!(
            of(&["chill", "boil", "chill", "chill"]),
            Values::Levels(vec![("chill".into(), 3), ("boil".into(), 1)])
        );
        assert_eq!(of(&["spilt", "new bottle"]), Values::Texts { count: 2 });
        assert_eq!(of(&["-", "n/a"]), Values::Empty);
        assert_eq!(
            of(&["02.03.2026", "18.11.2026"]),
            Values::Texts { count: 2 }
        );
    }

    #[test]
    fn the_decimal_mark_is_that_of_most_numbers() {
        let mut marks = MarksSeen::default();
        super::of(
            ["1,5", "22,85", "1.234,5", "2.114"].into_iter().map(Some),
            &mut marks,
        );
        assert_eq!(marks.decimal(), Some(Decimal::Comma));
    }
}
