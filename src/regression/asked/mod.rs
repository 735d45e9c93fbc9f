//! What is asked of a model, and of which runs.
//!
//! In: [`ModelParams`], which can be wrong, and [`FitData`]. Out: [`ValidModel`], or every fault at once; [`Settings`] to ask it at.
//! This module never fits.

mod barred;
mod check;
mod data;
mod listed_names;
mod measurement;
mod params;
mod scale;
mod settings;
mod terms;

pub use barred::{Barred, BarredPart};
pub use check::ValidModel;
pub use data::{Factor, FactorValues, FitData};
pub use measurement::{ErrorEffect, ErrorSize, Measurement, OwnError, SharedError};
pub use params::{Constant, Curve, Method, ModelParams};
pub use scale::ResponseScale;
pub use settings::{Setting, Settings};
pub(crate) use terms::{Column, Design, Effect, JOINED, Piece};
pub use terms::{TermName, TermPiece};
