//! Which bags of scale were there, and what was really in them?
//!
//! In: draws. Out: each lot with its assay as logged and its true assay.
//! This module never knows which run a lot went into.

use super::draws::Draws;

/// A bag of scale.
#[derive(Debug, Clone, Copy)]
pub struct Lot {
    /// Name on the bag.
    pub name: &'static str,
    /// Logged mass fraction of CuO.
    pub assay: f64,
    /// Logged standard uncertainty of the assay; none for a supplier's claim.
    pub assay_uncertainty: Option<f64>,
    /// Price paid [EUR/kg].
    pub price: f64,
    /// Mass fraction of carbon from drawing oil.
    pub carbon: f64,
    /// True mass fraction of CuO, which nobody knows.
    pub true_assay: f64,
}

/// What a supplier's claim is off by, as `[uncertainty] assay` states [mass fraction].
const CLAIM_UNCERTAINTY: f64 = 0.005;

/// The five lots; the true assay of each differs from the logged one by chance.
pub fn draw(draws: &mut Draws) -> Vec<Lot> {
    let mut lot = |name, assay, assay_uncertainty: Option<f64>, price, carbon| Lot {
        name,
        assay,
        assay_uncertainty,
        price,
        carbon,
        true_assay: assay + draws.bounded(assay_uncertainty.unwrap_or(CLAIM_UNCERTAINTY)),
    };
    vec![
        lot("A", 0.846, Some(0.005), 4.20, 0.0042),
        lot("B", 0.812, Some(0.004), 3.90, 0.0055),
        lot("C", 0.861, Some(0.005), 4.40, 0.0031),
        lot("D", 0.790, Some(0.006), 3.60, 0.0068),
        lot("E", 0.835, None, 4.10, 0.0047),
    ]
}

/// The lot with this name.
pub fn find<'a>(lots: &'a [Lot], name: &str) -> &'a Lot {
    lots.iter()
        .find(|lot| lot.name == name)
        .expect("the plan names only lots that exist")
}
