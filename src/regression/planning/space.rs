//! The settings that a run may have that is yet to be made.
//!
//! In: the values that each factor may take, and combinations that must never come together. Out: [`Space`], and its points.
//! This module never proposes a value that was not given to it, and never a forbidden combination.

use crate::regression::{Barred, BarredPart, Setting, Settings};
use crate::seeded::Seeded;

/// Amounts that differ by less than this share count as equal.
const EQUAL: f64 = 1e-9;

/// Combinations up to which every one is looked at when none was found by chance.
const MOST_LOOKED_AT: usize = 1_000_000;

/// How often a start tries at random before all combinations are gone through.
const TRIES: usize = 200;

/// The values that one factor may take in a further run.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanFactor {
    /// Name of the factor.
    pub name: String,
    /// Its values, in the order in which they are tried.
    pub values: PlanValues,
}

/// Values of one factor.
#[derive(Debug, Clone, PartialEq)]
pub enum PlanValues {
    /// Numbers, in the unit of the factor.
    Amounts(Vec<f64>),
    /// Names of levels.
    Levels(Vec<String>),
}

/// All settings that a further run may have.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Space {
    /// What may be set, each factor once.
    pub factors: Vec<PlanFactor>,
    /// Combinations that are never proposed.
    pub never: Vec<Barred>,
}

/// One combination: for each factor the position of its value.
pub(super) type Point = Vec<usize>;

impl PlanFactor {
    /// An amount from `low` to `high` in equal steps, both ends among them; one value if the ends are equal.
    ///
    /// # Units and shapes
    /// `low` and `high` in the unit of the factor; of `values` below 2 there are two.
    pub fn amount(name: impl Into<String>, low: f64, high: f64, values: usize) -> Self {
        let steps = values.max(2) - 1;
        let value = |step: usize| {
            let share = step as f64 / steps as f64;
            if step == steps {
                high
            } else {
                low + share * (high - low)
            }
        };
        let mut amounts: Vec<f64> = (0..=steps).map(value).collect();
        amounts.dedup();
        Self {
            name: name.into(),
            values: PlanValues::Amounts(amounts),
        }
    }

    /// The same with further values of an amount, those within its ends.
    pub fn with(mut self, more: impl Iterator<Item = f64>) -> Self {
        if let PlanValues::Amounts(amounts) = &mut self.values
            && let (Some(&low), Some(&high)) = (amounts.first(), amounts.last())
        {
            amounts.extend(more.filter(|value| *value > low && *value < high));
            amounts.sort_by(f64::total_cmp);
            amounts.dedup();
        }
        self
    }

    /// A choice between levels.
    pub fn choice(name: impl Into<String>, levels: &[String]) -> Self {
        Self {
            name: name.into(),
            values: PlanValues::Levels(levels.to_vec()),
        }
    }

    /// How many values there are.
    pub(super) fn count(&self) -> usize {
        match &self.values {
            PlanValues::Amounts(amounts) => amounts.len(),
            PlanValues::Levels(levels) => levels.len(),
        }
    }

    fn meets(&self, position: usize, part: &BarredPart) -> bool {
        match &self.values {
            PlanValues::Amounts(amounts) => part.is_amount(amounts[position]),
            PlanValues::Levels(levels) => part.is_level(&levels[position]),
        }
    }
}

impl Space {
    /// Where the factor of this name stands.
    pub(super) fn position(&self, name: &str) -> Option<usize> {
        self.factors.iter().position(|factor| factor.name == name)
    }

    /// The values of the factor of this name.
    pub(super) fn values(&self, name: &str) -> Option<&PlanValues> {
        self.position(name).map(|at| &self.factors[at].values)
    }

    /// Whether no forbidden combination is part of this point.
    pub(super) fn allows(&self, point: &[usize]) -> bool {
        let meets = |name: &str, part: &BarredPart| {
            self.position(name)
                .is_some_and(|factor| self.factors[factor].meets(point[factor], part))
        };
        !self.never.iter().any(|never| never.is_met(meets))
    }

    /// Whether a run may have these settings, which need not be those of a point: amounts within the values given,
    /// levels among them, and no forbidden combination. Every factor of the space must be named.
    ///
    /// # Assumes
    /// Amounts that differ by less than a billionth of their size are the same.
    pub fn holds(&self, settings: &Settings) -> bool {
        let within = |factor: &PlanFactor| match (&factor.values, settings.get(&factor.name)) {
            (PlanValues::Amounts(amounts), Some(Setting::Amount(value))) => {
                let spread = amounts.iter().map(|amount| (amount - value).abs());
                let near = spread.fold(f64::INFINITY, f64::min) <= EQUAL * value.abs();
                let below = amounts.iter().any(|amount| amount <= value);
                near || below && amounts.iter().any(|amount| amount >= value)
            }
            (PlanValues::Levels(levels), Some(Setting::Level(level))) => levels.contains(level),
            _ => false,
        };
        let forbidden = self.never.iter().any(|never| never.forbids(settings));
        self.factors.iter().all(within) && !forbidden
    }

    /// The settings of a point.
    pub(super) fn settings(&self, point: &[usize]) -> Settings {
        let parts = self.factors.iter().zip(point);
        parts.fold(
            Settings::default(),
            |settings, (factor, &position)| match &factor.values {
                PlanValues::Amounts(amounts) => settings.amount(&factor.name, amounts[position]),
                PlanValues::Levels(levels) => settings.level(&factor.name, &levels[position]),
            },
        )
    }

    /// A point drawn at random among those allowed; None if none is.
    pub(super) fn random_point(&self, random: &mut Seeded) -> Option<Point> {
        for _ in 0..TRIES {
            let point: Point = self
                .factors
                .iter()
                .map(|factor| drawn(random, factor.count()))
                .collect();
            if self.allows(&point) {
                return Some(point);
            }
        }
        self.points().find(|point| self.allows(point))
    }

    /// How many combinations there are, allowed or not.
    pub(super) fn size(&self) -> usize {
        let counts = self.factors.iter().map(PlanFactor::count);
        counts.fold(1, usize::saturating_mul)
    }

    /// The first combinations in order, allowed or not.
    pub(super) fn points(&self) -> impl Iterator<Item = Point> + '_ {
        (0..self.size().min(MOST_LOOKED_AT)).map(|number| {
            let mut rest = number;
            self.factors
                .iter()
                .map(|factor| {
                    let position = rest % factor.count();
                    rest /= factor.count();
                    position
                })
                .collect()
        })
    }
}

/// A whole number below `count`, all equally likely.
pub(super) fn drawn(random: &mut Seeded, count: usize) -> usize {
    ((random.uniform() * count as f64) as usize).min(count.saturating_sub(1))
}

#[cfg(test)]
mod tests {
    use std::ops::Bound;

    use super::*;

    #[test]
    fn settings_between_the_values_may_be_run_and_those_beyond_or_forbidden_may_not() {
        let levels = ["hob", "muffle"].map(String::from);
        let space = Space {
            factors: vec![
                PlanFactor::amount("excess", 10.0, 120.0, 3),
                PlanFactor::choice("heating", &levels),
            ],
            never: vec![Barred::default().level("heating", "hob").amounts(
                "excess",
                Bound::Excluded(100.0),
                Bound::Unbounded,
            )],
        };
        let at = |excess: f64, level: &str| {
            Settings::default()
                .amount("excess", excess)
                .level("heating", level)
        };
        assert!(space.holds(&at(83.8, "hob")) && space.holds(&at(120.0, "muffle")));
        assert!(!space.holds(&at(120.0, "hob")) && space.holds(&at(100.0, "hob")));
        assert!(!space.holds(&at(120.1, "muffle")) && !space.holds(&at(9.9, "muffle")));
        assert!(!space.holds(&at(50.0, "kiln")));
        assert!(!space.holds(&Settings::default().amount("excess", 50.0)));
    }
}
