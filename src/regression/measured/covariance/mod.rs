//! The covariance of the errors of the runs.
//!
//! In: what is known of the measurement, the blocks, and variances. Out: whitened vectors and parts of the inverse covariance.
//! This module never holds a matrix of runs by runs, and never estimates a variance.
//!
//! `V = D + L Lᵀ`: `D` diagonal, with the run-to-run variance and what each run has for itself; a column of `L` for
//! each error that several runs share and for each level of a block.

mod pattern;
mod shape;
mod whitening;

pub(crate) use shape::{At, MeanVariances, Shape};
pub(crate) use whitening::Factored;
