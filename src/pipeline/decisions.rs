//! Which models does a single decision need?
//!
//! In: a campaign and its runs. Out: [`DecisionModels`], without all that a report holds besides.
//! This module never decides anything.

use super::{Depth, Models, fit_to, side_models};
use crate::campaign::Campaign;
use crate::decide::costs;
use crate::error::Faults;
use crate::regression::FittedModel;
use crate::runs::Runs;

/// The models that decisions are made from.
#[derive(Debug, Clone)]
pub struct DecisionModels {
    /// One model a response.
    pub models: Vec<FittedModel>,
    /// Models of cost, labour and what else decisions need.
    pub cost_models: Vec<FittedModel>,
}

/// Fits the models that decisions are made from; none without `[model]`.
///
/// # Errors
/// As [`super::fit`].
pub fn decision_models(
    campaign: &Campaign,
    runs: &Runs,
    seed: u64,
) -> Result<DecisionModels, Faults> {
    let models = if campaign.model.is_some() {
        fit_to(Depth::Models, campaign, runs, None, seed)?
    } else {
        Models::default()
    };
    let costs = costs(campaign, runs);
    Ok(DecisionModels {
        models: models.models,
        cost_models: side_models::side_models(campaign, runs, costs.as_ref()),
    })
}
