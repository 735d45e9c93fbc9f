//! What explains the results of the runs?
//!
//! In: [`ModelParams`], which can be wrong, and [`FitData`]. Out: [`FittedModel`], which answers for any settings.
//! This module never reads a log or a campaign file, and never decides what to do with an answer.

mod basis;
mod check;
mod coding;
mod data;
mod doubts;
mod fit;
mod fitted;
mod ghosts;
mod least_squares;
mod machinery;
mod matrix;
mod means;
mod params;
mod predict;
mod proposals;
mod qr;
mod refusal;
mod runs;
mod separation;
mod settings;
mod solve;
mod tangled;
mod term;
mod tests_of_effects;
mod words;

#[cfg(test)]
mod checks_of_separation;
#[cfg(test)]
mod exact_checks;
#[cfg(test)]
mod nist_checks;
#[cfg(test)]
mod properties;
#[cfg(test)]
mod testing;

pub use data::{Factor, FactorValues, FitData};
pub use fitted::{Estimate, FittedModel, Interval, Method, NewRun, Term};
pub use means::{AdjustedMeans, LevelMean};
pub use params::{Constant, Curve, ModelParams, ValidModel};
pub use refusal::Refusal;
pub use settings::{Setting, Settings};
pub use tangled::NotSeparable;
pub use tests_of_effects::EffectTest;
