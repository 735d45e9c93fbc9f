//! Combinations of settings that no further run may have.
//!
//! In: levels and ranges of amounts that must not come together. Out: [`Barred`], which knows the settings that it forbids.
//! This module never takes an amount for allowed that is shown as a forbidden one.

use std::collections::BTreeMap;
use std::ops::{Bound, RangeBounds};

use super::settings::{Setting, Settings};

/// Amounts that differ by less than this share are the same.
const EQUAL: f64 = 1e-9;
/// Digits that an amount is shown with, and decimals that it is written into a log with: what it is rounded to must be
/// allowed too.
const DIGITS: i32 = 4;
const DECIMALS: usize = 4;

/// A combination that no further run may have: all its parts together, whatever else is set.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Barred(BTreeMap<String, BarredPart>);

/// What one factor must not be.
#[derive(Debug, Clone, PartialEq)]
pub enum BarredPart {
    /// At this level.
    Level(String),
    /// Between these ends, in the unit of the factor.
    Amounts(Bound<f64>, Bound<f64>),
}

impl BarredPart {
    /// Whether a level is the one that is forbidden.
    pub fn is_level(&self, level: &str) -> bool {
        matches!(self, BarredPart::Level(forbidden) if forbidden == level)
    }

    /// Whether an amount is forbidden, as it is or as it is rounded where it is shown.
    pub fn is_amount(&self, value: f64) -> bool {
        let BarredPart::Amounts(low, high) = self else {
            return false;
        };
        let ends = [end(low), end(high)];
        let holds = |value: f64| {
            let at = |bound: &Bound<f64>| match bound {
                Bound::Included(end) => (value - end).abs() <= EQUAL * value.abs().max(end.abs()),
                _ => false,
            };
            (*low, *high).contains(&value) || at(low) || at(high)
        };
        if holds(value) {
            return true;
        }
        let coarsest = 10f64.powi(-DIGITS) * 10.0 * value.abs();
        let near = coarsest.max(10f64.powi(-(DECIMALS as i32)));
        let is_near = ends.iter().flatten().any(|end| (value - end).abs() <= near);
        is_near && shown(value).into_iter().any(holds)
    }

    /// The largest amount below the range that it leaves allowed; None where it has no lower end.
    pub fn allowed_below(&self) -> Option<f64> {
        match self {
            BarredPart::Amounts(Bound::Excluded(low), _) => Some(*low),
            // A part in a thousand below, it is shown as another amount.
            BarredPart::Amounts(Bound::Included(low), _) => Some(low - 1e-3 * low.abs()),
            _ => None,
        }
    }

    fn is(&self, setting: &Setting) -> bool {
        match setting {
            Setting::Level(level) => self.is_level(level),
            Setting::Amount(value) => self.is_amount(*value),
        }
    }
}

fn end(bound: &Bound<f64>) -> Option<f64> {
    match bound {
        Bound::Included(end) | Bound::Excluded(end) => Some(*end),
        Bound::Unbounded => None,
    }
}

/// An amount as tables and a line of the log show it.
fn shown(value: f64) -> [f64; 2] {
    let digits = DIGITS as usize - 1;
    let texts = [format!("{value:.digits$e}"), format!("{value:.DECIMALS$}")];
    texts.map(|text| text.parse().unwrap_or(value))
}

impl Barred {
    /// The same combination with a level of a choice.
    pub fn level(mut self, factor: impl Into<String>, level: impl Into<String>) -> Self {
        self.0
            .insert(factor.into(), BarredPart::Level(level.into()));
        self
    }

    /// The same combination with a range of an amount, in the unit of the factor.
    pub fn amounts(mut self, factor: impl Into<String>, low: Bound<f64>, high: Bound<f64>) -> Self {
        self.0.insert(factor.into(), BarredPart::Amounts(low, high));
        self
    }

    /// Whether settings have all parts of the combination; one that they leave open they do not have.
    pub fn forbids(&self, settings: &Settings) -> bool {
        self.is_met(|factor, forbidden| settings.get(factor).is_some_and(|set| forbidden.is(set)))
    }

    /// Whether each part holds; a combination without parts never does.
    pub fn is_met(&self, mut holds: impl FnMut(&str, &BarredPart) -> bool) -> bool {
        !self.0.is_empty() && self.0.iter().all(|(factor, part)| holds(factor, part))
    }

    /// What is forbidden of this factor whatever else is set; nothing where others take part.
    pub fn alone(&self, factor: &str) -> Option<&BarredPart> {
        self.0.get(factor).filter(|_| self.0.len() == 1)
    }

    /// Whether the combination says anything of this factor.
    pub fn names(&self, factor: &str) -> bool {
        self.0.contains_key(factor)
    }

    /// An amount that stands just outside a range that leaves its end out.
    pub fn allowed_ends(&self, factor: &str) -> impl Iterator<Item = f64> + use<> {
        let ends = match self.0.get(factor) {
            Some(BarredPart::Amounts(low, high)) => [*low, *high],
            _ => [Bound::Unbounded; 2],
        };
        ends.into_iter().filter_map(|bound| match bound {
            Bound::Excluded(end) => Some(end),
            _ => None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn above(end: f64) -> BarredPart {
        BarredPart::Amounts(Bound::Excluded(end), Bound::Unbounded)
    }

    #[test]
    fn an_end_that_is_left_out_is_allowed_and_one_that_is_not_is_forbidden() {
        assert!(!above(80.0).is_amount(80.0) && above(80.0).is_amount(80.1));
        let from = BarredPart::Amounts(Bound::Included(80.0), Bound::Unbounded);
        assert!(from.is_amount(80.0) && !from.is_amount(79.9));
        let between = BarredPart::Amounts(Bound::Included(60.0), Bound::Included(80.0));
        for (value, forbidden) in [(59.9, false), (60.0, true), (80.0, true), (80.1, false)] {
            assert_eq!(between.is_amount(value), forbidden, "{value}");
        }
    }

    #[test]
    fn what_is_shown_as_a_forbidden_amount_is_forbidden() {
        // To four digits 79.996 is 80.00, and 120.04 is 120.0.
        let from = BarredPart::Amounts(Bound::Included(80.0), Bound::Unbounded);
        assert!(from.is_amount(79.996) && !from.is_amount(79.99));
        assert!(above(80.004).is_amount(80.0051));
        let below = BarredPart::Amounts(Bound::Unbounded, Bound::Included(120.0));
        assert!(below.is_amount(120.04) && !below.is_amount(120.06));
        // To four decimals 0.00014 is 0.0001.
        let small = BarredPart::Amounts(Bound::Unbounded, Bound::Included(0.0001));
        assert!(small.is_amount(0.00014) && !small.is_amount(0.00016));
    }

    #[test]
    fn a_combination_forbids_all_its_parts_together_and_nothing_less() {
        let barred = Barred::default().level("heating", "hob").amounts(
            "excess",
            Bound::Excluded(80.0),
            Bound::Unbounded,
        );
        let hob = Settings::default().level("heating", "hob");
        assert!(barred.forbids(&hob.clone().amount("excess", 90.0)));
        assert!(!barred.forbids(&hob.clone().amount("excess", 80.0)));
        assert!(!barred.forbids(&hob));
        assert!(!Barred::default().forbids(&hob));
    }
}
