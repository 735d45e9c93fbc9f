//! Which models does a single decision need?
//!
//! In: a campaign and its runs. Out: its [`ModelSet`], without all that a report holds besides.
//! This module never decides anything.

use super::fit_models::{Depth, Models, fit_to};
use super::side_models;
use crate::campaign::Campaign;
use crate::decide::{ModelSet, costs};
use crate::error::Faults;
use crate::runs::Runs;

/// Fits the models that decisions are made from; none without `[model]`.
///
/// # Errors
/// As [`super::fit`].
pub fn decision_models(campaign: &Campaign, runs: &Runs, seed: u64) -> Result<ModelSet, Faults> {
    let models = if campaign.model.is_some() {
        fit_to(Depth::Models, campaign, runs, None, seed)?
    } else {
        Models::default()
    };
    let costs = costs(campaign, runs);
    let side = side_models::side_models(campaign, runs, costs.as_ref());
    Ok(ModelSet::new(models.models, side))
}
