//! Solubility of the product: what stays in the liquor, and what another crop would bring.
//!
//! In: the product, `[solubility]` of the campaign file, a temperature and volumes of liquor. Out: [`Curve`],
//! [`Saturated`] and [`NextCrop`], or a typed reason why there is none.
//! This module never extrapolates, never reads a log and never decides whether another crop is worth while.

mod crop;
mod curve;
#[cfg(test)]
mod curve_checks;
mod density;
mod figures;
mod hydrate;
mod points;
#[cfg(test)]
mod properties;
mod reason;

pub use crop::{NextCrop, next_crop};
pub use curve::{Curve, DensityFrom, Saturated};
pub use reason::{NoCrop, OutOfTable, Unknown};
