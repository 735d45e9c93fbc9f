//! Ordinary least squares.
//!
//! In: the coded rows of the runs. Out: coefficients, residuals, and the test of each effect.
//! This module never knows an error of measurement.

mod effect_tests;
mod least_squares;
mod solve;

pub use effect_tests::EffectTest;
pub(crate) use effect_tests::{FTest, Scatter, effect_tests, others};
pub(crate) use least_squares::{Residuals, Solution, total_squares};
pub(crate) use solve::out_of_range;
