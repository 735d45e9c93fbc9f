//! Doubts about planned runs.
//!
//! In: what a plan lacks. Out: what was seen, and what to do.
//! This module never plans a run.

use super::clauses::first_of;
use crate::caveat::{Ends, LotsPlannedOn, MissingLimit, NotCounted};
use crate::report::print::count;

/// That an amount has no limits and is planned within what was run.
pub(super) fn without_limits(factor: &str, missing: MissingLimit, within: Ends) -> [String; 2] {
    let missing = match missing {
        MissingLimit::Both => "`low` and `high`",
        MissingLimit::Low => "`low`",
        MissingLimit::High => "`high`",
    };
    let (low, high) = (within.low, within.high);
    [
        format!(
            "{factor} has no {missing} under `[factors.{factor}]`, so it is planned within what was run, {low} to {high}"
        ),
        "state `low` and `high`, if runs may safely lie further out, or must not".into(),
    ]
}

/// That nothing says which lots are at hand.
pub(super) fn without_shelf(lots: &[String], which: LotsPlannedOn) -> [String; 2] {
    let which = match which {
        LotsPlannedOn::OfTheLastRuns => "those of the last runs",
        LotsPlannedOn::AllLogged => "those logged",
    };
    let lots = lots.join(", ");
    [
        format!("nothing says which lots are at hand, so the runs are planned on {which}: {lots}"),
        "name what is left under `[shelf]`: `lots = [\"...\"]`".into(),
    ]
}

/// That rows of a log without dates are planned runs, or runs whose result is missing.
pub(super) fn planned_or_not_logged(runs: &[String]) -> String {
    format!(
        "{} with settings and without a result ({}): planned, or the result is not logged, which no date tells",
        count(runs.len(), "run"),
        first_of(runs)
    )
}

/// That a planned run of the log does not count when further runs are chosen.
pub(super) fn not_counted(run: &str, why: &NotCounted) -> String {
    let why = match why {
        NotCounted::NotSaid { factor } => format!("its row does not say its {factor}"),
        NotCounted::Outside { factor, value } => {
            format!("its {factor}, {value}, lies outside of what may be planned")
        }
        NotCounted::Forbidden => "`[limits] never` forbids its settings".into(),
    };
    format!("planned run {run} does not count when further runs are chosen: {why}")
}

/// A lot that is planned on and was never used.
pub(super) fn new_lot(name: impl std::fmt::Display) -> [String; 2] {
    [
        format!("no run was made on lot {name} yet, so it counts as a new one of the usual spread"),
        "spread runs of the same settings over it and another lot, if one is left".into(),
    ]
}
