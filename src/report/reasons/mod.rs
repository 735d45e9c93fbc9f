//! Reasons in words: why there is no answer, no cost, no estimate, and what would help.
//!
//! In: typed reasons. Out: texts; names from logs stay raw, whoever prints them makes them harmless.
//! This module never finds a reason itself.

mod of_costs;
mod of_decisions;
mod of_recycling;

pub(super) use of_costs::{no_cost, not_counted, without_a_cost};
pub(super) use of_decisions::{
    compared, family, how_settled, missing, no_liquor, no_mean, refusal, still,
};
pub(super) use of_recycling::{no_cycles, not_planned, unanswered, untold};
