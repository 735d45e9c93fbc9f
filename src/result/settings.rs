//! `settings`.
//!
//! In: finished figures. Out: what is serialised under this key.
//! This module never computes.

use serde::Serialize;

use super::{Aim, Ends, Estimated, Gap, Lead, Named};

/// One key a factor: a number for an amount, text for a level.
pub type SettingsAt = Named<Setting>;

/// The value of one factor.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum Setting {
    /// Of an amount, in its unit.
    Amount(f64),
    /// Of a choice.
    Level(String),
}

/// The best settings, or what is missing for them.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum Settings {
    /// None can be recommended.
    Missing {
        /// Null.
        at: Option<SettingsAt>,
        /// Null.
        response: Option<f64>,
        /// Null.
        chance_spec: Option<f64>,
        /// Nothing.
        stopped_by: Vec<Stop>,
        /// What is missing.
        missing: Vec<Gap>,
    },
    /// The best that were found.
    Best(Box<Best>),
}

/// The best settings.
#[derive(Debug, Clone, Serialize)]
pub struct Best {
    /// What "best" means.
    pub aim: Aim,
    /// The settings.
    pub at: SettingsAt,
    /// What to expect there.
    pub response: Expected,
    /// Chance that a new run meets the specification.
    pub chance_spec: Option<f64>,
    /// Whether that is the chance asked for.
    pub meets_spec: Option<bool>,
    /// What kept them from being better.
    pub stopped_by: Vec<Stop>,
    /// The best of the runs made.
    pub present_best: Option<Present>,
    /// `settled`, `alike` or `not settled`.
    pub verdict: Lead,
    /// How many settings were looked at.
    pub looked_at: usize,
    /// Combinations of levels that cannot be told.
    pub left_aside: Vec<SettingsAt>,
    /// Where the surface stands still.
    pub stationary: Standing,
    /// What is missing.
    pub missing: Vec<Gap>,
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

/// The best of the runs made.
#[derive(Debug, Clone, Serialize)]
pub struct Present {
    /// The run.
    pub run: String,
    /// Its settings.
    pub at: SettingsAt,
    /// Whether these are the best settings themselves.
    pub same_settings: bool,
    /// Expected response there.
    pub response: Estimated,
    /// What the best settings gain over it.
    pub gain: Option<Estimated>,
    /// Chance that they do.
    pub chance_better: Option<f64>,
}

/// Where a surface stands still, or why nowhere.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum Standing {
    /// At a point.
    Point {
        /// The point.
        at: SettingsAt,
        /// Its amounts.
        amounts: Vec<String>,
        /// Expected response there.
        response: Estimated,
        /// What sort of point.
        kind: String,
        /// Bends along the main directions.
        eigenvalues: Vec<f64>,
        /// Whether it lies within the range of the runs.
        within_runs: bool,
    },
    /// Nowhere.
    Nowhere {
        /// Null.
        at: Option<SettingsAt>,
        /// Why.
        reason: String,
    },
}

/// What kept settings from being better.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum Stop {
    /// An end of the range of an amount.
    Limit {
        /// `limit` or `range of the runs`.
        by: &'static str,
        /// The amount.
        factor: String,
        /// Its unit.
        unit: String,
        /// The end.
        value: f64,
        /// `low` or `high`.
        end: &'static str,
    },
    /// Distance from the runs, or the specification.
    Cost {
        /// `far from the runs` or `purity_spec`.
        by: &'static str,
        /// How much better it would be beyond.
        costs: f64,
    },
    /// A combination that is never to be proposed.
    Never {
        /// `never`.
        by: &'static str,
        /// The combination.
        at: SettingsAt,
        /// How much better it would be there.
        costs: f64,
    },
}
