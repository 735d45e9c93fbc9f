//! What a formula weighs and how much product a feed can give.
//!
//! In: formulas and equations as text. Out: [`Formula`], [`Equation`], molar masses with their uncertainty, and the factor from
//! feed to theoretical product.
//! This module never reads a log.

mod equation;
mod formula;
mod stoichiometry;
mod weights;

pub use equation::{Equation, Term};
pub use formula::Formula;
pub use stoichiometry::{Oxidation, product_per_feed};
pub use weights::{AtomicWeight, AtomicWeights};
