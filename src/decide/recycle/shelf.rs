//! Residue that stands on the shelf, and what it is worth.
//!
//! In: residues as stocks, what a kilogram brings when it is charged. Out: [`Shelf`].
//! This module never counts residue without a mass.

use super::{Amount, Recycling, Unanswered};
use crate::runs::Runs;

/// Grams in a kilogram.
const KILOGRAM: f64 = 1000.0;

/// What stands on the shelf.
#[derive(Debug, Clone)]
pub struct Shelf {
    /// All of it \[g\].
    pub now: f64,
    /// What it brings, charged as in this campaign \[currency\]; None where that is not known.
    pub worth: Option<Amount>,
}

/// What is left of the residues of a log that names where residue came from; None for another log.
pub fn shelf(runs: &Runs, recycling: &Result<Recycling, Unanswered>) -> Option<Shelf> {
    if runs.ledger.is_empty() {
        return None;
    }
    let now = runs.ledger.iter().map(|stock| stock.now()).sum();
    let money = recycling.as_ref().ok();
    let money = money.and_then(|found| found.money.as_ref().ok());
    Some(Shelf {
        worth: money.map(|money| money.per_kilogram.times(now / KILOGRAM)),
        now,
    })
}
