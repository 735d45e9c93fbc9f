//! Planning of the runs that would teach most.
//!
//! In: a fitted model, or a model asked for and no run at all, and a [`Space`] of settings. Out: [`Planner`], which finds
//! further runs and says how well anything would be known after them.
//! This module never decides what is worth knowing, and never proposes settings outside the space.

mod coded_terms;
mod exchange;
mod forecast;
mod gain;
mod information;
mod new_runs;
mod planner;
mod power;
mod runs_made;
mod space;

#[cfg(test)]
mod tests;
#[cfg(test)]
mod tests_of_blocks;

pub use forecast::{Forecast, NoForecast, Outcome, Outlook};
pub use planner::{After, Planner};
pub use power::power_of_t_test;
pub use space::{PlanFactor, PlanValues, Space};

use crate::regression::{Settings, Weighted};
use crate::seeded::Seeded;

/// Stream of the order of runs, apart from those of the search.
const ORDER_STREAM: u64 = 1 << 40;

/// Most runs that are planned at once.
pub const MOST_PLANNED: usize = 100;

/// How the levels of blocks count that runs have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BlocksAs {
    /// Drawn by chance, with the variance of the fit.
    Random,
    /// Each may be anything, so that a term that only differs where the block differs counts as not known.
    Free,
}

/// The lot, or another group with errors in common, of each run of a model.
#[derive(Debug, Clone, PartialEq)]
pub struct Grouping {
    /// Name of the factor, as in the space.
    pub factor: String,
    /// Its level for each run of the model, in run order.
    pub levels: Vec<Option<String>>,
}

/// What further runs should make small.
///
/// # Source
/// Atkinson, Donev and Tobias, Optimum Experimental Designs, with SAS, 2007, chapter 10.
#[derive(Debug, Clone, PartialEq)]
pub enum Criterion {
    /// The volume of the joint confidence region of all terms (D): `ln det A`, with `A` their covariance.
    Everything,
    /// The mean variance of the expected response over the space (I): the mean of `xᵀAx` over the points that it allows.
    Prediction,
    /// A weighted sum of the variances of these contrasts (c): `Σ w cᵀAc`.
    Contrasts(Vec<PlanContrast>),
}

/// A contrast between settings and how much its variance counts.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanContrast {
    /// How much its variance counts.
    pub weight: f64,
    /// The means whose weighted sum it is.
    pub parts: Vec<Weighted>,
}

/// Runs to make.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// The settings of each run.
    pub runs: Vec<Settings>,
    /// `det(XᵀX)^(1/p) / n` of all `n` runs, made and planned, and `p` terms, each amount coded to [−1, 1] over its range;
    /// None if some term is still not known.
    pub efficiency: Option<f64>,
}

/// Why nothing can be planned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NoPlan {
    /// No run was asked for.
    NoRuns,
    /// More runs were asked for than are planned at once.
    TooMany(usize),
    /// A factor of the model has no value to choose from.
    NoValues(String),
    /// Every combination of the values is forbidden.
    AllForbidden,
    /// A contrast names settings that the model does not know.
    UnknownSettings,
    /// The numbers are too large or too small to compute with.
    OutOfRange,
}

/// The same items in an order drawn at random, all orders equally likely.
///
/// # Source
/// Knuth, The Art of Computer Programming, vol. 2, 3rd ed. 1997, 3.4.2, algorithm P.
pub fn shuffled<T>(mut items: Vec<T>, seed: u64) -> Vec<T> {
    let mut random = Seeded::stream(seed, ORDER_STREAM);
    for last in (1..items.len()).rev() {
        items.swap(last, space::drawn(&mut random, last + 1));
    }
    items
}
