//! How much of the product stays in the liquor, and what would another crop bring?
//!
//! In: the product, `[solubility]` of the campaign file, a temperature and volumes of liquor. Out: [`Curve`],
//! [`Saturated`] and [`NextCrop`], or a typed reason why there is none.
//! This module never extrapolates, never reads a log and never decides whether another crop is worth while.

mod crop;
mod curve;
#[cfg(test)]
mod curve_checks;
mod density;
mod hydrate;
mod interpolation;
mod own_figures;
mod piece;
mod points;
#[cfg(test)]
mod properties;
mod reason;
mod saturated;
mod table;

pub use crop::{NextCrop, next_crop};
pub use curve::Curve;
pub use points::{SolidChange, TemperatureRange};
pub use reason::{NoCrop, OutOfTable, Unknown};
pub use saturated::{DensityFrom, Saturated};
