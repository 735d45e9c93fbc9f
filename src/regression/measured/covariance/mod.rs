//! The covariance of the errors of the runs.
//!
//! In: what is known of the measurement, the blocks, and variances. Out: whitened vectors and parts of the inverse covariance.
//! This module never holds a matrix of runs by runs, and never estimates a variance.
//!
//! `V = D + L Lᵀ`: `D` diagonal, with the run-to-run variance and what each run has for itself; a column of `L` for
//! each error that several runs share and for each level of a block.

mod error_columns;
mod few_columns;
mod sparse_factor;
mod whitening;
mod who_shares_errors;

pub(crate) use error_columns::told_by_few;
pub(crate) use whitening::Factored;
pub(crate) use who_shares_errors::{At, MeanVariances, Shape};
