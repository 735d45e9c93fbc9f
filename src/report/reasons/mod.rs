//! Reasons why there is no answer, and what would help, as people read them.
//!
//! In: typed reasons. Out: clauses in lower case without a full stop, not escaped, a file for each area.
//! This module never decides whether there is an answer.

mod of_costs;
mod of_decisions;
mod of_models;
mod of_recycling;
mod of_runs;

pub(super) use of_costs::{no_cost, not_counted, without_a_cost};
pub(super) use of_decisions::{
    compared, compared_as, family, missing, no_forecast, no_mean, still,
};
pub(super) use of_models::{no_stationary, refusal};
pub(super) use of_recycling::{liquor_untold, no_cycles, not_planned, unanswered, untold};
pub(super) use of_runs::{no_crop, no_limits, no_liquor, no_result, out_of_table};
