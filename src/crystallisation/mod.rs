//! Solubility of the product: what stays in the liquor, and what another crop would bring.
//!
//! In: the product, `[solubility]` of the campaign file, a temperature and volumes of liquor. Out: [`Curve`],
//! [`Saturated`] and [`NextCrop`], or a typed reason why there is none.
//! This module never extrapolates, never reads a log and never decides whether another crop is worth while.

mod between_points;
mod crop;
mod curve;
mod density;
mod hydrate;
#[cfg(test)]
mod properties;
mod reason;
mod solubility_figures;
#[cfg(test)]
mod tests_of_curves;

pub use crop::{NextCrop, next_crop};
pub use curve::{Curve, DensityFrom, Saturated};
pub use hydrate::anhydrous;
pub use reason::{NoCrop, OutOfTable, Unknown};
