//! What the strength of a mother liquor is in product.
//!
//! In: the formula that strengths are stated as. Out: one factor.
//! This module never reads a strength.

use crate::campaign::Campaign;
use crate::chemistry::{AtomicWeights, product_per_feed};
use crate::intake::Logged;
use crate::measured::Measured;

/// Grams of product per gram of the formula that strengths of mother liquors are stated as; 1 where that is the product.
///
/// # Source
/// As [`product_per_feed`].
pub fn product_per_stated(
    campaign: &Campaign,
    logged: &Logged,
    weights: &AtomicWeights,
) -> Measured {
    match (&logged.liquor_as, &campaign.chemistry) {
        (Some(formula), Some(chemistry)) if *formula != chemistry.product => {
            product_per_feed(formula, &chemistry.product, &chemistry.followed, weights)
        }
        _ => Measured::exact(1.0),
    }
}
