//! The variances that nobody stated, from run to run and from block to block.
//!
//! In: the design, the responses and what is known of the measurement. Out: variances that solve the score equations of
//! the restricted likelihood, and all that the fit with them needs.
//! This module never minimises a value, and never returns to natural units.

mod evaluation;
mod information;
mod scores;

pub(crate) use evaluation::{Evaluation, Problem};
pub(crate) use information::{expected, groups, told_apart};
pub(crate) use scores::{Scores, Solved};
