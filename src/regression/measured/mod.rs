//! The fit that knows the errors of the measurement and the blocks.
//!
//! In: the coded rows, the plain solution, and what is known of the measurement. Out: [`Outcome`], tests, and components of scatter.
//! This module never takes the size of an error at an observed response.

mod components;
mod covariance;
mod effect_tests;
mod errors;
mod fit;
mod iterations;
mod residuals;
mod scatter_by_level;
mod small_sample;
mod spreads;
pub(crate) mod variances;

pub use components::{Component, LevelScatter, ScatterByLevel, ScatterOf};
pub(crate) use covariance::{At, Factored, Shape, told_by_few};
pub(crate) use errors::{Errors, MeasuredErrors, NewRunVariances};
pub(crate) use fit::{Found, Outcome, fit, problem, tested};
pub(crate) use iterations::Closeness;
pub(crate) use scatter_by_level::{ByLevel, uneven};
pub(crate) use small_sample::{Parts, SmallSample};
