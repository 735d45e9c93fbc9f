//! Which recovery route is best?
//!
//! In: models of yield and purity, the runs of each route. Out: [`Routes`].
//! This module never calls a route best when its lead over another may be luck.

use super::middle;
use crate::campaign::{Campaign, FactorKind, StandsFor};
use crate::regression::{Comparison, Estimate, FactorComparisons, FittedModel};
use crate::runs::{FactorValues, RunResult, Runs};

/// The routes compared.
#[derive(Debug, Clone)]
pub struct Routes {
    /// Factor that stands for the route.
    pub factor: String,
    /// Its levels, the baseline first.
    pub levels: Vec<RouteLevel>,
    /// Differences in yield between the leading route and each other one.
    pub lead: Vec<RouteDifference>,
    /// Name of the route with the highest adjusted mean.
    pub leader: Option<String>,
    /// Whether the lead over every other route stands, all pairs of routes taken together.
    pub settled: bool,
    /// How many pairs were counted.
    pub pairs: usize,
}

/// One route.
#[derive(Debug, Clone)]
pub struct RouteLevel {
    /// Its name.
    pub level: String,
    /// Contained yield of each of its runs [fraction].
    pub yields: Vec<f64>,
    /// Adjusted mean of the contained yield, or why there is none.
    pub mean_yield: Result<Estimate, String>,
    /// Adjusted mean of the purity, or why there is none.
    pub mean_purity: Result<Estimate, String>,
    /// Middle labour [min].
    pub labour: Option<f64>,
    /// Its ceiling, if one is declared.
    pub ceiling: Option<f64>,
    /// Runs with a purity.
    pub purity_runs: usize,
    /// Runs whose purity meets the specification.
    pub meets_spec: Option<usize>,
}

/// How far the leading route is ahead of another.
#[derive(Debug, Clone)]
pub struct RouteDifference {
    /// The other route.
    pub against: String,
    /// Lead in contained yield [fraction].
    pub difference: Result<Estimate, String>,
    /// Chance of such a lead by luck, all pairs of routes counted together.
    pub adjusted_p: Option<f64>,
}

pub(super) fn routes(
    campaign: &Campaign,
    runs: &Runs,
    models: &[FittedModel],
    comparisons: &[Vec<FactorComparisons>],
) -> Option<Routes> {
    let plan = campaign.factor_for(StandsFor::Route)?;
    let column = runs
        .factors
        .iter()
        .find(|column| column.name == plan.name)?;
    let FactorValues::Choice { levels, codes } = &column.values else {
        return None;
    };
    let model = |response: &str| models.iter().find(|model| model.response == response);
    let mean = |response: &str, level: &str| -> Result<Estimate, String> {
        let model = model(response).ok_or_else(|| format!("there is no model of {response}"))?;
        let means = model
            .adjusted_means
            .iter()
            .find(|means| means.factor == plan.name)
            .ok_or_else(|| format!("{} is no effect in the model of {response}", plan.name))?;
        let found = means
            .levels
            .iter()
            .find(|mean| mean.level == level)
            .ok_or("no run of the model took it")?;
        found.mean.clone().ok_or_else(|| {
            found
                .reason
                .as_ref()
                .map_or_else(|| "it cannot be told".into(), ToString::to_string)
        })
    };
    let ceiling = |level: &str| match &plan.kind {
        FactorKind::Choice { ceiling, .. } => ceiling
            .iter()
            .find(|ceiling| ceiling.level == level)
            .map(|ceiling| ceiling.fraction),
        FactorKind::Amount { .. } => None,
    };
    let found: Vec<RouteLevel> = levels
        .iter()
        .enumerate()
        .map(|(code, level)| {
            let of_level: Vec<&RunResult> = runs
                .results
                .iter()
                .zip(codes)
                .filter(|(run, c)| **c == Some(code) && run.set_aside.is_none())
                .map(|(run, _)| run)
                .collect();
            let purities: Vec<f64> = of_level
                .iter()
                .filter_map(|run| run.purity.as_ref().ok().map(|m| m.value()))
                .collect();
            RouteLevel {
                level: level.clone(),
                yields: of_level
                    .iter()
                    .filter_map(|run| run.contained.as_ref().ok().map(|m| m.value()))
                    .collect(),
                mean_yield: mean("yield", level),
                mean_purity: mean("purity", level),
                labour: middle(of_level.iter().filter_map(|run| run.labour).collect()),
                ceiling: ceiling(level),
                purity_runs: purities.len(),
                meets_spec: campaign
                    .purity_spec
                    .map(|spec| purities.iter().filter(|purity| **purity >= spec).count()),
            }
        })
        .collect();
    let leader = found
        .iter()
        .filter_map(|level| Some((level.mean_yield.as_ref().ok()?.value, &level.level)))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, level)| level.clone());
    let pairs = levels.len() * levels.len().saturating_sub(1) / 2;
    let pairs_of_yield: Vec<&Comparison> = models
        .iter()
        .zip(comparisons)
        .filter(|(model, _)| model.response == "yield")
        .flat_map(|(_, factors)| factors)
        .filter(|factor| factor.factor == plan.name)
        .flat_map(|factor| &factor.pairs)
        .collect();
    let lead: Vec<RouteDifference> = match (&leader, model("yield")) {
        (Some(leader), Some(model)) => levels
            .iter()
            .filter(|level| *level != leader)
            .map(|level| {
                let difference = model
                    .level_difference(&plan.name, leader, level)
                    .map_err(|refusal| refusal.to_string());
                RouteDifference {
                    against: level.clone(),
                    adjusted_p: pairs_of_yield
                        .iter()
                        .find(|pair| {
                            pair.level == *leader && pair.against == *level
                                || pair.level == *level && pair.against == *leader
                        })
                        .and_then(|pair| pair.p),
                    difference,
                }
            })
            .collect(),
        _ => Vec::new(),
    };
    let luck = 1.0
        - campaign
            .model
            .as_ref()
            .map_or(0.95, |model| model.confidence);
    let settled = !lead.is_empty()
        && lead
            .iter()
            .all(|other| other.adjusted_p.is_some_and(|p| p < luck));
    Some(Routes {
        factor: plan.name.clone(),
        levels: found,
        lead,
        leader,
        settled,
        pairs,
    })
}
