//! What moves a response, routes, settings and the worth of residue in a result.
//!
//! In: finished figures. Out: what is serialised under `moves`, `routes`, `settings` and `recycling`.
//! This module never computes.

use serde::Serialize;
use serde_json::Value;

use super::figures::{AmountFigures, Ends, Estimated};
use crate::decide::{Comparison, HowSettled, RecyclingVerdict};
use crate::regression;

/// What moves one response.
#[derive(Debug, Clone, Serialize)]
pub struct Moves {
    /// Name of the response.
    pub response: String,
    /// Unit of the changes.
    pub unit: String,
    /// The changes, those of the factor with the largest one first.
    pub changes: Vec<Change>,
}

/// The change in going from one setting to another, all else at the reference mix.
#[derive(Debug, Clone, Serialize)]
pub struct Change {
    /// What is changed.
    pub factor: String,
    /// Unit of an amount.
    pub unit: String,
    /// `level` and `against`, or `from`, `to` and the level `with` which.
    #[serde(flatten)]
    pub comparison: Comparison,
    /// The change.
    #[serde(flatten)]
    pub estimate: Estimated,
    /// Chance of as much by luck.
    pub p: Option<f64>,
}

/// Recovery routes compared; figures in the unit of their model.
#[derive(Debug, Clone, Serialize)]
pub struct Routes {
    /// Factor that stands for the route.
    pub factor: String,
    /// What "best" means.
    pub aim: Value,
    /// One entry a route, the baseline first.
    pub levels: Vec<RouteLevel>,
    /// `settled`, `alike` or `not settled`.
    pub verdict: HowSettled,
    /// The best route for the aim.
    pub best: Option<String>,
    /// Leads of it and in yield with intervals that allow for all pairs, the chance that no route meets the specification
    /// often enough, which routes are beaten by which on all counts, what is missing.
    #[serde(flatten)]
    pub more: Value,
}

/// One route.
#[derive(Debug, Clone, Serialize)]
pub struct RouteLevel {
    /// Its name.
    pub level: String,
    /// Runs with a yield.
    pub runs: usize,
    /// Adjusted mean yield.
    #[serde(rename = "yield")]
    pub mean_yield: Estimated,
    /// The same as a fraction of its ceiling.
    pub of_ceiling: Value,
    /// Adjusted mean purity.
    pub purity: Estimated,
    /// Adjusted mean cost.
    pub cost: Estimated,
    /// Unit of the cost.
    pub cost_unit: String,
    /// Adjusted mean labour \[min\].
    pub labour: Estimated,
    /// Chances of being best and of meeting the specification, and the product in later crops.
    #[serde(flatten)]
    pub more: Value,
}

/// The best settings, or what is missing for them.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum Settings {
    /// None can be recommended; the keys that would say what are null.
    Missing(Value),
    /// The best that were found.
    Best(Box<Best>),
}

/// The best settings.
#[derive(Debug, Clone, Serialize)]
pub struct Best {
    /// What "best" means.
    pub aim: Value,
    /// The settings: one key a factor, a number for an amount, text for a level.
    pub at: regression::Settings,
    /// What to expect there.
    pub response: Expected,
    /// Chance that a new run meets the specification and whether that is the one asked for, what kept the settings from
    /// being better, the best of the runs made.
    #[serde(flatten)]
    pub beside: Value,
    /// `settled`, `alike` or `not settled`.
    pub verdict: HowSettled,
    /// How many settings were looked at, combinations left aside, where the surface stands still, what is missing.
    #[serde(flatten)]
    pub more: Value,
}

/// What to expect at the best settings.
#[derive(Debug, Clone, Serialize)]
pub struct Expected {
    /// The response.
    pub response: String,
    /// Its unit.
    pub unit: String,
    /// Expected value.
    pub value: f64,
    /// Its standard error.
    pub u: Option<f64>,
    /// Its interval.
    pub interval: Ends,
    /// Interval of one new run.
    pub new_run_interval: Ends,
    /// By how much the estimate is too good as the best of many.
    pub too_good_by: Option<f64>,
}

/// Whether feeding the residue forward pays, or what is missing.
#[derive(Debug, Clone, Serialize)]
pub struct Recycling {
    /// `pays`, `does not pay` or `not settled`; null without prices, and where nothing can be said.
    pub verdict: Option<RecyclingVerdict>,
    /// The money, where there are prices.
    #[serde(flatten)]
    pub money: Option<Money>,
    /// What residue gives, the loop, what would settle the verdict, what is missing.
    #[serde(flatten)]
    pub more: Value,
}

/// What the residue is worth.
#[derive(Debug, Clone, Serialize)]
pub struct Money {
    /// Name of the currency.
    pub currency: String,
    /// Gain per charged run.
    pub gain_per_run: AmountFigures,
    /// The same per kilogram and campaign, its terms, where the verdict flips, what moves it, what is not counted.
    #[serde(flatten)]
    pub more: Value,
}
