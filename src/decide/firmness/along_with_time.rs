//! Factors that changed so seldom along the order of the runs that nothing tells them from time.
//!
//! In: the runs of a model in run order, and what a verdict compares. Out: [`Changing`] with how often it changed.
//! This module never looks at a response.

use crate::decide::models::runs_of;
use crate::regression::{Changing, FittedModel};
use crate::runs::{FactorColumn, Runs};

/// A factor that changes over at most so often along the order of the runs is inseparable from time.
const SELDOM: usize = 2;
/// A stretch of amounts above or below the middle of their range: one change over is a step or a climb.
const CLIMB: usize = 1;
/// Runs without any of an amount are a side of their own where they are at least this share of all, as are the others.
const A_SIDE: f64 = 0.2;

/// What of a factor is compared.
#[derive(Debug, Clone, Copy)]
pub(super) enum Compared<'a> {
    /// Being at these levels.
    Levels(&'a [&'a str]),
    /// The whole range of an amount.
    Range,
}

/// What is compared of a factor and changed over so seldom that time may have done it, with how often it did.
pub(super) fn inseparable(
    runs: &Runs,
    model: &FittedModel,
    column: &FactorColumn,
    compared: Compared,
) -> Option<(Changing, usize)> {
    let used = runs_of(model, runs);
    let positions = || used.iter().map(|(position, _)| *position);
    match compared {
        Compared::Levels(levels) => levels.iter().find_map(|level| {
            let here: Vec<bool> = positions()
                .map(|position| column.level(position) == Some(level))
                .collect();
            let changing = Changing::Level {
                factor: column.name.clone(),
                level: (*level).to_string(),
            };
            seldom(&here, SELDOM).map(|changes| (changing, changes))
        }),
        Compared::Range => {
            let values: Vec<f64> = positions().filter_map(|p| column.amount(p)).collect();
            let changing = Changing::Amount {
                factor: column.name.clone(),
            };
            of_amounts(&values).map(|changes| (changing, changes))
        }
    }
}

/// Whether a mark such as being at a level changed over so seldom along the runs, given in run order, that time may have done it.
pub fn marks_seldom_change(marks: &[bool]) -> bool {
    seldom(marks, SELDOM).is_some()
}

/// The same of an amount.
pub fn amounts_seldom_change(values: &[f64]) -> bool {
    of_amounts(values).is_some()
}

fn of_amounts(values: &[f64]) -> Option<usize> {
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let above = |limit: f64| -> Vec<bool> { values.iter().map(|value| *value > limit).collect() };
    let any = above(0.0);
    let none = any.iter().filter(|any| !**any).count() as f64;
    let share = none / values.len() as f64;
    let has_sides = low == 0.0 && (A_SIDE..=1.0 - A_SIDE).contains(&share);
    let of_sides = has_sides.then(|| seldom(&any, SELDOM)).flatten();
    of_sides.or_else(|| seldom(&above((low + high) / 2.0), CLIMB))
}

/// How often a mark changes over, where that is at least once and at most so often.
fn seldom(marks: &[bool], most: usize) -> Option<usize> {
    let changes = marks.windows(2).filter(|pair| pair[0] != pair[1]).count();
    (1..=most).contains(&changes).then_some(changes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_and_a_climb_are_inseparable_and_a_mixed_order_is_not() {
        // By hand: none, then some; a climb; a stretch in the middle; mixed.
        assert_eq!(of_amounts(&[0.0, 0.0, 0.0, 0.3, 0.1, 0.5]), Some(1));
        assert_eq!(of_amounts(&[0.1, 0.15, 0.3, 0.4, 0.5]), Some(1));
        assert_eq!(of_amounts(&[0.0, 0.0, 0.3, 0.5, 0.0, 0.0]), Some(2));
        assert_eq!(of_amounts(&[0.0, 0.3, 0.0, 0.5, 0.1, 0.4]), None);
        assert_eq!(of_amounts(&[60.0, 80.0, 60.0, 80.0]), None);
    }

    #[test]
    fn an_amount_that_never_changed_over_is_none() {
        assert_eq!(of_amounts(&[0.2, 0.2, 0.2]), None);
        assert_eq!(seldom(&[true, true], SELDOM), None);
    }
}
