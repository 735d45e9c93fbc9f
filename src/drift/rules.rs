//! Patterns of neighbouring runs that chance seldom makes.
//!
//! In: values, where the process stands, and the rules asked for. Out: which rules hold at which run.
//! This module never looks for a rule that was not asked for.

use super::in_control::{InControl, Side};
use crate::campaign::RunRule;

/// Distance that two of three neighbours must exceed [standard deviations].
const BEYOND: f64 = 2.0;

/// Chance that a standard normal value exceeds [`BEYOND`].
///
/// Abramowitz and Stegun, table 26.1 (`1 − P(2)`), to the digits that matter here.
const TAIL_BEYOND_TWO: f64 = 0.022_750_131_948;

/// Chance that a rule holds at a run of a process that does not drift.
///
/// Nine on one side: `2·(1/2)⁹`. Six in order: `2/6!`. Two of three: the newest beyond and at least one of the two
/// before it, on either side, `2·p·(1 − (1 − p)²)`.
///
/// # Assumes
/// Independent normal values, centre and standard deviation known.
/// # Source
/// Elementary probability; checked by a simulation in `tests/check-scripts/run_lengths.py`.
pub fn chance_by_luck(rule: RunRule) -> f64 {
    match rule {
        RunRule::NineOnOneSide => 2.0 * 0.5_f64.powi(runs_of(rule) as i32),
        RunRule::SixRisingOrFalling => 2.0 / 720.0,
        RunRule::TwoOfThreeBeyondTwo => {
            2.0 * TAIL_BEYOND_TWO * (1.0 - (1.0 - TAIL_BEYOND_TWO).powi(2))
        }
    }
}

/// How many neighbours a rule looks at.
pub(super) fn runs_of(rule: RunRule) -> usize {
    match rule {
        RunRule::NineOnOneSide => 9,
        RunRule::SixRisingOrFalling => 6,
        RunRule::TwoOfThreeBeyondTwo => 3,
    }
}

/// The side to which a rule points at the last of some values, if it holds there.
pub fn holds(rule: RunRule, values: &[f64], in_control: &InControl) -> Option<Side> {
    let part = &values[values.len().saturating_sub(runs_of(rule))..];
    let complete = part.len() == runs_of(rule);
    let holds_on = |sign: f64| {
        let off = |value: &f64| sign * (value - in_control.centre);
        let beyond = |value: &&f64| off(value) > BEYOND * in_control.sd;
        match rule {
            RunRule::NineOnOneSide => complete && part.iter().all(|value| off(value) > 0.0),
            RunRule::SixRisingOrFalling => {
                complete && part.windows(2).all(|pair| sign * (pair[1] - pair[0]) > 0.0)
            }
            RunRule::TwoOfThreeBeyondTwo => {
                part.last().as_ref().is_some_and(beyond) && part.iter().filter(beyond).count() >= 2
            }
        }
    };
    match (holds_on(1.0), holds_on(-1.0)) {
        (true, _) => Some(Side::Above),
        (_, true) => Some(Side::Below),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(rule: RunRule, values: &[f64], expected: Option<Side>) {
        let in_control = InControl::stated(0.0, 1.0);
        assert_eq!(holds(rule, values, &in_control), expected, "{values:?}");
    }

    #[test]
    fn a_rule_holds_at_the_run_that_completes_it_and_not_before() {
        let side = [0.1; 9];
        check(RunRule::NineOnOneSide, &side, Some(Side::Above));
        check(RunRule::NineOnOneSide, &side[1..], None);
        let falling = [6.0, 5.0, 4.0, 3.0, 2.0, 1.0];
        check(RunRule::SixRisingOrFalling, &falling, Some(Side::Below));
        check(RunRule::SixRisingOrFalling, &falling[1..], None);
        let two = [-2.1, 0.0, -2.2];
        check(RunRule::TwoOfThreeBeyondTwo, &two, Some(Side::Below));
        check(RunRule::TwoOfThreeBeyondTwo, &[-2.1, -2.2, 0.0], None);
        check(RunRule::TwoOfThreeBeyondTwo, &[-2.1, 2.2], None);
    }
}
