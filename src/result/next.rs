//! `next_runs` and `next_runs_for`.
//!
//! In: finished figures. Out: what is serialised under these keys.
//! This module never computes.

use serde::Serialize;

use super::{Caveat, Named, SettingsAt};

/// One run to make.
#[derive(Debug, Clone, Serialize)]
pub struct NextRun {
    /// Its place, from 1.
    pub order: usize,
    /// What it is for.
    pub reason: String,
    /// The same as a fixed term.
    pub kind: &'static str,
    /// Terms or differences that it is about.
    pub about: Vec<String>,
    /// Its settings.
    pub settings: SettingsAt,
    /// Its lot.
    pub lot: Option<String>,
    /// Masses to weigh in [g].
    pub weigh: Named<f64>,
}

/// What the runs are for, or why there are none.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum NextRunsFor {
    /// There is no model.
    NoModel {
        /// Why.
        reason: &'static str,
    },
    /// None can be planned.
    NoPlan {
        /// Why.
        reason: String,
        /// What to do.
        hint: Option<String>,
    },
    /// What they bring.
    Plan {
        /// The response whose model they are planned for.
        response: String,
        /// Terms that they tell apart.
        separated: Vec<String>,
        /// Terms that nothing proposed tells apart.
        still_tangled: Vec<String>,
        /// How near the plan comes to the best of its size.
        d_efficiency: Option<f64>,
        /// How well open differences are and would be known.
        widths: Vec<Width>,
        /// Chances to see what matters.
        power: Vec<Power>,
        /// Doubts about the plan.
        caveats: Vec<Caveat>,
    },
}

/// How well one difference is known.
#[derive(Debug, Clone, Serialize)]
pub struct Width {
    /// The response.
    pub response: String,
    /// Its unit.
    pub unit: String,
    /// The difference.
    pub about: String,
    /// Half the width of its interval now.
    pub before: Option<f64>,
    /// The same after the runs.
    pub after: Option<f64>,
}

/// The chance to see a difference that matters.
#[derive(Debug, Clone, Serialize)]
pub struct Power {
    /// The response.
    pub response: String,
    /// The difference.
    pub about: String,
    /// What matters.
    pub margin: f64,
    /// The chance now.
    pub before: Option<f64>,
    /// The chance after the runs.
    pub after: Option<f64>,
}
