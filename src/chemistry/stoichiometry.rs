//! How much product a feed can give and how much oxidant it needs.
//!
//! In: formulas and the followed element. Out: the theory factor and the excess of oxidant.
//! This module never reads a log and never knows a run.

use super::{AtomicWeights, Formula};
use crate::measured::Measured;

/// Grams of product per gram of pure feed formula: `(f_feed / M_feed) / (f_product / M_product)`.
///
/// `f` counts atoms of the followed element in a formula, `M` is its molar mass [g/mol].
///
/// # Assumes
/// Every followed atom of the feed ends in product; a route whose own stoichiometry allows less has a ceiling.
/// # Source
/// Stoichiometry; common practice, no source. Checked in `tests/it/reference/trade.rs`.
pub fn product_per_feed(
    feed: &Formula,
    product: &Formula,
    followed: &str,
    weights: &AtomicWeights,
) -> Measured {
    let atoms = feed.atoms_of(followed) / product.atoms_of(followed);
    (&product.molar_mass(weights) / &feed.molar_mass(weights)) * atoms
}

/// Electrons offered by an oxidant against electrons needed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Oxidation {
    /// Electrons that the oxidant charged takes up \[mol\].
    pub offered: f64,
    /// Electrons that the followed atoms charged give \[mol\].
    pub needed: f64,
    /// Electrons that impurities of the feed give besides \[mol\].
    pub impurities: f64,
}

impl Oxidation {
    /// Excess of oxidant over what is needed [%]; `None` when nothing needs oxidant.
    ///
    /// `100·(offered / (needed + impurities) − 1)`
    ///
    /// # Source
    /// Balance of electrons; common practice, no source.
    pub fn excess(self) -> Option<f64> {
        let needed = self.needed + self.impurities;
        (needed > 0.0).then(|| 100.0 * (self.offered / needed - 1.0))
    }
}
