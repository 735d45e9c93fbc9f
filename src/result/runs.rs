//! `yields`, `titrants` and `budgets`.
//!
//! In: finished figures. Out: what is serialised under these keys.
//! This module never computes.

use serde::Serialize;

use super::{Measured, Named};

/// One run on one footing; fractions of theory.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Yield {
    /// Name of the run.
    pub run: String,
    /// Lot or lots.
    pub lot: Option<String>,
    /// Date as written.
    pub date: Option<String>,
    /// Why it is out of every fit.
    pub set_aside: Option<String>,
    /// Product as weighed over theory, the feed taken as 100 %.
    pub gross: Option<Measured>,
    /// Product as weighed over theory on the assayed content.
    pub assay_adjusted: Option<Measured>,
    /// Pure product over theory, total basis.
    pub contained: Option<Measured>,
    /// Pure product over theory, fresh basis.
    pub contained_fresh: Option<Measured>,
    /// Purity of all crops together.
    pub purity: Option<Measured>,
    /// Share of the charge that was found.
    pub closure: Option<Measured>,
    /// Share of it that was not.
    pub unaccounted: Option<Measured>,
    /// Product that the fresh feed can give [g].
    pub theory_fresh: Option<Measured>,
    /// Product that feed and residue can give [g].
    pub theory_total: Option<Measured>,
    /// Why the first figure that is missing is missing.
    pub reason: Option<String>,
    /// Why each missing figure is missing.
    pub reasons: Named<String>,
    /// Where the charge went.
    pub balance: Balance,
    /// Excess of oxidant [%].
    pub oxidant_excess: Option<f64>,
    /// The crops.
    pub crops: Vec<Crop>,
    /// Parts of the variance of the contained yield.
    pub budget: Vec<BudgetShare>,
    /// Effective degrees of freedom of the contained yield; null where infinite.
    pub effective_df: Option<f64>,
    /// Assay of the residue taken out.
    pub residue_assay: Option<Measured>,
    /// Whether that is what the balance leaves.
    pub residue_by_difference: bool,
    /// A simulation beside propagation.
    pub cross_check: Option<CrossCheck>,
    /// Contained yield over the ceiling of the route.
    pub of_ceiling: Option<Measured>,
}

/// Parts of the charge.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Balance {
    /// In the crops.
    pub crops: Option<Measured>,
    /// In the mother liquor.
    pub liquor: Option<Measured>,
    /// In the residue.
    pub residue: Option<Measured>,
}

/// One crop.
#[derive(Debug, Clone, Serialize)]
pub struct Crop {
    /// Its number.
    pub crop: u32,
    /// Mass as weighed [g].
    pub mass: Measured,
    /// Purity as weighed.
    pub purity: Option<Measured>,
}

/// The part of one source in a variance.
#[derive(Debug, Clone, Serialize)]
pub struct BudgetShare {
    /// Name of the source.
    pub source: String,
    /// Its part; null where nobody states its uncertainty.
    pub share: Option<f64>,
    /// Whether anybody states it.
    pub stated: bool,
}

/// A simulated yield.
#[derive(Debug, Clone, Serialize)]
pub struct CrossCheck {
    /// Its mean.
    pub value: f64,
    /// Its standard deviation.
    pub u: f64,
    /// Its interval.
    pub interval: [f64; 2],
    /// Trials made.
    pub trials: usize,
    /// How near the two must be.
    pub tolerance: f64,
    /// How far apart they are.
    pub apart: f64,
    /// Whether they agree.
    pub agrees: bool,
    /// Whether the simulation settled.
    pub stable: bool,
}

/// Strength of one titrant.
#[derive(Debug, Clone, Serialize)]
pub struct Titrant {
    /// Its name.
    pub titrant: String,
    /// Strength [mol/L].
    pub concentration: Measured,
    /// Parts of its variance.
    pub budget: Vec<BudgetShare>,
    /// One entry a row of its log.
    pub rows: Vec<TitrantRow>,
}

/// One row of the titrants log.
#[derive(Debug, Clone, Serialize)]
pub struct TitrantRow {
    /// Date as written.
    pub date: Option<String>,
    /// Strength [mol/L].
    pub concentration: Measured,
}

/// Where the uncertainty of the yields of some runs comes from.
#[derive(Debug, Clone, Serialize)]
pub struct Budget {
    /// The lot; null for all runs together.
    pub lot: Option<String>,
    /// Number of runs.
    pub runs: usize,
    /// Middle standard uncertainty of one contained yield.
    pub u: f64,
    /// Parts of the variance.
    pub sources: Vec<BudgetShare>,
    /// What to improve first.
    pub first: Option<FirstSource>,
}

/// The source to improve first.
#[derive(Debug, Clone, Serialize)]
pub struct FirstSource {
    /// Its name.
    pub source: String,
    /// Its part of the variance.
    pub share: f64,
    /// Standard uncertainty of one yield without it.
    pub u_without: f64,
}
