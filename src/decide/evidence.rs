//! What answers are worked out from: the campaign, its runs, its models and its costs.
//!
//! In: what the stages before found. Out: [`Material`], and the margins that the campaign states.
//! This module never answers a question.

use super::costs::Costs;
use super::models::ModelSet;
use crate::campaign::Campaign;
use crate::regression::FactorComparisons;
use crate::runs::Runs;

/// What `[aim] margin` calls the gain of a charged run.
const GAIN: &str = "gain";

/// What is found from what.
#[derive(Debug, Clone, Copy)]
pub struct Material<'a> {
    /// The campaign.
    pub campaign: &'a Campaign,
    /// Its runs on one footing.
    pub runs: &'a Runs,
    /// Its models.
    pub models: &'a ModelSet,
    /// Levels compared, for each model of a response that `[model]` names.
    pub comparisons: &'a [Vec<FactorComparisons>],
    /// What runs and product cost.
    pub costs: Option<&'a Costs>,
    /// Seed of whatever is simulated.
    pub seed: u64,
    /// Whether runs are planned that would settle what is open, which takes as long as everything else.
    pub plans_runs: bool,
}

/// The difference of a response that does not matter in practice, in its unit, where the campaign states one.
pub fn margin(campaign: &Campaign, response: &str) -> Option<f64> {
    let mut margins = campaign.aim.margins.iter();
    let stated = margins.find(|margin| margin.response == response);
    stated.map(|margin| margin.difference)
}

/// The gain of a charged run that does not matter in practice \[currency\]; 0 where the campaign states none.
///
/// A declared response called `gain` has that margin itself.
pub fn margin_of_gain(campaign: &Campaign) -> f64 {
    let is_declared = campaign.responses.iter().any(|plan| plan.name == GAIN);
    let stated = margin(campaign, GAIN).filter(|_| !is_declared);
    stated.unwrap_or(0.0)
}
