//! Tests of the fit as a whole: certified figures, dense matrices, limits, and what must hold for any data.
//!
//! In: published and invented runs. Out: assertions, and [`testing`] for tests elsewhere.
//! This module never is part of the library.

mod certified;
mod exact;
mod measured;
mod measured_coverage;
mod measured_large;
mod measured_limits;
mod measured_properties;
mod properties;
mod response_scale;
mod run_errors;
mod separation;
mod several_settings;
pub(crate) mod testing;
mod uneven_scatter;
