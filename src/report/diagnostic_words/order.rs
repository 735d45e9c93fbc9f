//! What does the order of the runs say?
//!
//! In: what went with it most. Out: sentences.
//! This module never knows more of time than the order of the runs.

use super::quoted;
use crate::regression::Changing;

pub(super) const ALIKE: &str = "neighbouring runs err the same way: something drifts, or several runs share an error; intervals are too narrow";
pub(super) const OPPOSITE: &str = "neighbouring runs err in opposite ways: something is corrected too far from run to run, or two set-ups alternate";
pub(super) const INDEPENDENT: &str =
    "neighbouring runs err independently as far as so many runs can tell";

/// How the Durbin-Watson figure is read; these three follow from its definition.
pub(super) const SCALE_OF_NEIGHBOURS: &str =
    "2 means no connection, 0 the same error, 4 opposite errors";

pub(super) fn went_with_order(most: &Changing) -> String {
    format!(
        "{} changed along with the order of the runs: whatever drifted in that time counts as its effect; mix the order of the next runs",
        named(most)
    )
}

pub(super) fn none_went_with_order(most: &Changing) -> String {
    format!(
        "no factor went with the order of the runs more than chance explains; {} did most",
        named(most)
    )
}

/// `` `heating: hob` ``, `` `oxidant` ``.
fn named(changing: &Changing) -> String {
    match changing {
        Changing::Amount { factor } => quoted(factor),
        Changing::Level { factor, level } => quoted(&format!("{factor}: {level}")),
    }
}
