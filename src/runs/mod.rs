//! Runs made comparable: each on one footing, with an honest ±.
//!
//! In: a checked campaign and its logs. Out: [`Runs`]: yields, purity, balance and budget of each run, and
//! the factors and responses that models may use.
//! This module never reads a file, never fits and never writes a sentence of the report.

mod ages;
mod blanks;
mod by_date;
mod caveats;
mod chain;
mod charge;
mod columns;
mod control;
mod crops;
mod days_compared;
mod drying;
mod factor_columns;
mod impurities;
mod liquor_strength;
mod liquors;
mod lots;
mod mismatched_entries;
mod named_in_campaign;
mod normalise;
mod one_run;
mod planned;
mod reading_errors;
mod replicates;
mod residue;
mod results;
mod second;
mod simulate;
mod titrants;
mod titration;
mod yields;

pub use crate::caveat::Reason;
pub use blanks::Blanks;
pub use by_date::{ByDate, Days, Used};
pub use caveats::{COVERAGE, above_one, plus_minus};
pub use chain::{Chain, CropStep, TheoryStep, TitreStep, WeighedHow, WeighedStep, chain};
pub use factor_columns::{FactorColumn, FactorValues, ResponseColumn, ResponseKind};
pub use liquor_strength::product_per_stated;
pub use mismatched_entries::levels_spelt_alike;
pub use named_in_campaign::unknown_names;
pub use normalise::{Stopped, normalise, planned};
pub use planned::usual_residue_assay;
pub use replicates::Scatter;
pub use results::{
    AssayOf, Balance, Charge, CombinedAssay, ControlPoint, ControlResult, CropResult, Outcome,
    PlannedRun, PlannedValue, PurityBy, RunResult, Runs, SecondRuns, TitrantPoint, TitrantResult,
};
pub use simulate::{cross_check, doubtful};
