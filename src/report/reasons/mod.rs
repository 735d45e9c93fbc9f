//! How is it said why there is no answer?
//!
//! In: typed reasons. Out: clauses in lower case without a full stop, not escaped, a file for each area.
//! This module never decides whether there is an answer.

mod of_drift;
mod of_runs;
mod of_solubility;

pub(super) use of_drift::no_limits;
pub(super) use of_runs::no_result;
pub(super) use of_solubility::no_liquor;

use crate::decide::NoCost;

/// Why there is no cost.
pub(super) fn no_cost(reason: &NoCost) -> String {
    match reason {
        NoCost::NoResult(reason) => no_result(reason),
        NoCost::Missing(reason) => reason.clone(),
    }
}
