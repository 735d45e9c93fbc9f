//! How large are the errors that nobody stated: from run to run, and from block to block?
//!
//! In: the design, the responses and what is known of the measurement. Out: variances that solve the score equations of
//! the restricted likelihood, and all that the fit with them needs.
//! This module never minimises a value, and never returns to natural units.

mod evaluation;
mod information;
mod scores;
mod separable;

pub(crate) use evaluation::{Evaluation, Problem};
pub(crate) use information::expected;
pub(crate) use scores::{Solved, solve};
pub(crate) use separable::{groups, told_apart};
