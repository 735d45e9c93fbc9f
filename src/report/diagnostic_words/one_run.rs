//! What is said of decisions that rest on one run?
//!
//! In: the decisions. Out: one sentence for all.
//! This module never advises to leave a run out.

use super::{all_quoted, quoted};
use crate::regression::{Change, RestingDecision};
use crate::report::print::words::or_list;

/// Runs that are named for one decision; more than that are counted.
pub(super) const MOST_NAMED: usize = 5;

pub(super) const NONE_RESTS: &str = "every effect would be judged the same without any one run";

pub(super) fn some_rest(decisions: &[RestingDecision]) -> String {
    let told: Vec<String> = decisions.iter().map(told).collect();
    told.join("; ")
}

fn told(decision: &RestingDecision) -> String {
    let about = quoted(&decision.about);
    let which = match decision.runs.as_slice() {
        [only] => format!("run {}", quoted(only)),
        few if few.len() <= MOST_NAMED => format!("any one of {}", or_list(&all_quoted(few))),
        many => format!("any one of {} runs", many.len()),
    };
    match decision.change {
        Change::NoLongerMatters => format!("without {which}, {about} would no longer matter"),
        Change::WouldMatter => format!("without {which}, {about} would matter"),
        Change::CouldNotBeTold => format!("without {which}, {about} could not be told"),
        Change::NoFit => format!("without {which} there would be no fit"),
    }
}
