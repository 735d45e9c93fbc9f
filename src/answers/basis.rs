//! Everything that answers are made from.
//!
//! In: references to what the stages found. Out: [`Basis`].
//! This module never answers anything.

use crate::campaign::Campaign;
use crate::caveat::Caveat;
use crate::decide::{Costs, Findings, Firmness, ModelSet, NextRuns};
use crate::drift::Drifts;
use crate::error::Error;
use crate::runs::Runs;

/// What answers are made from.
#[derive(Debug, Clone, Copy)]
pub struct Basis<'a> {
    /// The campaign.
    pub campaign: &'a Campaign,
    /// Its runs on one footing.
    pub runs: &'a Runs,
    /// Its models.
    pub models: &'a ModelSet,
    /// What was found.
    pub findings: &'a Findings,
    /// What shakes it.
    pub firmness: &'a Firmness,
    /// The runs to make next, or why none can be planned; absent without a model.
    pub next: Option<&'a Result<NextRuns, Error>>,
    /// Control charts.
    pub drift: &'a Drifts,
    /// What runs and product cost; `None` without prices.
    pub costs: Option<&'a Costs>,
    /// All doubts.
    pub doubts: &'a [Caveat],
    /// Coverage of all intervals.
    pub confidence: f64,
}
