//! What happened, made comparable: each run on one footing, with an honest ±.
//!
//! In: a checked campaign and its logs. Out: [`Runs`]: yields, purity, balance and budget of each run, and
//! the factors and responses that models may use.
//! This module never reads a file, never fits and never writes a sentence of the report.

mod balance;
mod book;
mod caveats;
mod charge;
mod column;
mod columns;
mod desk;
mod discordance;
mod entries;
mod errors;
mod footing;
mod lots;
mod normalise;
mod order;
mod residue;
mod scatter;
mod simulate;
mod suspicion;
mod titrants;
mod titrants_used;
mod titration;
mod unknown_names;

pub use crate::caveat::Reason;
pub use balance::Balance;
pub use charge::Charge;
pub use column::{FactorColumn, FactorValues, ResponseColumn, ResponseKind};
pub use errors::{Contribution, OwnSources, ResponseErrors, SharedSource, errors_of};
pub use normalise::{Stopped, normalise, normalise_or_tell};
pub use scatter::Scatter;
pub use simulate::{NamedCheck, cross_check, doubtful};
pub use titrants::{TitrantPoint, TitrantResult};
pub use titrants_used::TitrantsOfRun;

use crate::caveat::Caveat;
use crate::intake::LeftOut;
use crate::measured::{Measured, Share, Sources};

/// A result, or the reason why there is none.
pub type Outcome = Result<Measured, Reason>;

/// All runs of a campaign on one footing.
#[derive(Debug, Clone)]
pub struct Runs {
    /// Every source of uncertainty that a result may rest on.
    pub sources: Sources,
    /// Number of rows in the runs log.
    pub lines: usize,
    /// How many of them are out of every fit.
    pub left_out_lines: usize,
    /// Runs with results, in run order; those set aside are among them.
    pub results: Vec<RunResult>,
    /// Factors, one value for each of `results`.
    pub factors: Vec<FactorColumn>,
    /// Responses, one value for each of `results`.
    pub responses: Vec<ResponseColumn>,
    /// Concentration of each titrant.
    pub titrants: Vec<TitrantResult>,
    /// Which titrants the crops of each run were titrated with, by name of the run.
    pub titrants_used: Vec<TitrantsOfRun>,
    /// Scatter of replicate titrations over the whole campaign.
    pub scatter: Option<Scatter>,
    /// Simulations beside the propagated yields, where they were asked for.
    pub cross_checks: Vec<NamedCheck>,
    /// Doubts about single runs, lots and titrants.
    pub caveats: Vec<Caveat>,
    /// Rows that could not be used and runs set aside.
    pub left_out: Vec<LeftOut>,
}

/// One run on one footing.
#[derive(Debug, Clone)]
pub struct RunResult {
    /// Name.
    pub run: String,
    /// Date as written.
    pub date: Option<String>,
    /// Lot or lots of feed, joined by `;`.
    pub lot: Option<String>,
    /// Why it is out of every fit.
    pub set_aside: Option<String>,
    /// Product as weighed over theory, the feed taken as 100 % [fraction].
    pub gross: Outcome,
    /// Product as weighed over theory on the assayed content, total basis [fraction].
    pub assay_adjusted: Outcome,
    /// Pure product over theory on the assayed content, total basis [fraction].
    pub contained: Outcome,
    /// Pure product over theory on the assayed content of the fresh feed [fraction].
    pub contained_fresh: Outcome,
    /// Purity of all crops together, by mass [mass fraction].
    pub purity: Outcome,
    /// Product that the assayed fresh feed can give [g].
    pub theory_fresh: Outcome,
    /// Product that fresh feed and residue charged can give [g].
    pub theory_total: Outcome,
    /// Where the followed element went.
    pub balance: Balance,
    /// Largest fraction of theory that its route allows, where one is declared.
    pub ceiling: Option<f64>,
    /// Contained yield over the ceiling of the run's route [fraction]; absent where no ceiling is declared.
    pub of_ceiling: Option<Outcome>,
    /// Assay of the residue taken out, as weighed [mass fraction].
    pub residue_assay: Option<Measured>,
    /// Whether that assay is what the balance leaves, not a measurement.
    pub residue_by_difference: bool,
    /// Excess of oxidant [%].
    pub oxidant_excess: Option<f64>,
    /// What went in and what stayed on the filter.
    pub charge: Charge,
    /// The crops.
    pub crops: Vec<CropResult>,
    /// Parts of the variance of `contained`, the largest first.
    pub budget: Vec<Share>,
    /// Labour [min].
    pub labour: Option<f64>,
}

/// One crop.
#[derive(Debug, Clone)]
pub struct CropResult {
    /// Its number.
    pub crop: u32,
    /// Mass as weighed [g].
    pub mass: Measured,
    /// Purity of the crop as weighed [mass fraction].
    pub purity: Outcome,
    /// Liquor it was filtered from [mL].
    pub liquor_volume: Option<f64>,
    /// Temperature of the filtration [degC].
    pub temperature: Option<f64>,
}

impl Runs {
    /// The simulation beside the yield of a run.
    pub fn cross_check_of(&self, run: &str) -> Option<&NamedCheck> {
        self.cross_checks.iter().find(|check| check.run == run)
    }

    /// Number of runs that every fit may use.
    pub fn used(&self) -> usize {
        self.results
            .iter()
            .filter(|run| run.set_aside.is_none())
            .count()
    }
}
