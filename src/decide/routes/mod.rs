//! Which recovery route is best?
//!
//! In: models of yield, purity, cost and labour, the runs of each route. Out: [`Routes`].
//! This module never calls a route best when its lead over another may be luck.

mod best;
mod chances;
mod crops;
mod level;

pub use best::{Beaten, BestRoute, RouteLead};
pub use chances::{ChanceOf, Chances, DRAWS, chances};
pub use crops::CropShare;
pub use level::NoMean;

use super::aimed::{Aimed, aimed, scaled};
use super::middle;
use super::models::{AimOf, ModelOf, ModelSet};
use super::specification::Specification;
use crate::campaign::{Campaign, FactorKind, StandsFor};
use crate::regression::{Comparison, Estimate, FactorComparisons, Interval, Refusal};
use crate::runs::{FactorValues, RunResult, Runs};
use level::Asked;

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
    /// What "best" means.
    pub aim: Aimed,
    /// The route that is best for it.
    pub best: BestRoute,
}

/// One route.
#[derive(Debug, Clone)]
pub struct RouteLevel {
    /// Its name.
    pub level: String,
    /// Contained yield of each of its runs [fraction].
    pub yields: Vec<f64>,
    /// Adjusted mean of the contained yield, or why there is none.
    pub mean_yield: Result<Estimate, NoMean>,
    /// The same as a fraction of its ceiling, where one is declared.
    pub of_ceiling: Option<Estimate>,
    /// Adjusted mean of the purity, or why there is none.
    pub mean_purity: Result<Estimate, NoMean>,
    /// Adjusted mean of the cost of contained product, in its model's unit, or why there is none.
    pub mean_cost: Result<Estimate, NoMean>,
    /// Unit of that cost; empty where there is no model of it.
    pub cost_unit: String,
    /// Adjusted mean of the labour [min], or why there is none.
    pub mean_labour: Result<Estimate, NoMean>,
    /// Middle labour [min].
    pub labour: Option<f64>,
    /// Its ceiling, if one is declared.
    pub ceiling: Option<f64>,
    /// Runs with a purity.
    pub purity_runs: usize,
    /// Runs whose purity meets the specification.
    pub meets_spec: Option<usize>,
    /// Chance that the true purity of one new run meets the specification.
    pub chance_spec: Option<f64>,
    /// Chances that the route is best.
    pub chance: Option<ChanceOf>,
    /// Share of its product that comes in the second and later crops.
    pub later_crops: Option<CropShare>,
}

/// How far the leading route is ahead of another.
#[derive(Debug, Clone)]
pub struct RouteDifference {
    /// The other route.
    pub against: String,
    /// Lead in contained yield [fraction].
    pub difference: Result<Estimate, Refusal>,
    /// Interval of the lead that allows for all pairs of routes [fraction].
    pub simultaneous: Option<Interval>,
    /// Chance of such a lead by luck, all pairs of routes counted together.
    pub adjusted_p: Option<f64>,
}

pub(super) fn routes(
    campaign: &Campaign,
    runs: &Runs,
    models: &ModelSet,
    comparisons: &[Vec<FactorComparisons>],
    seed: u64,
) -> Option<Routes> {
    let plan = campaign.factor_for(StandsFor::Route)?;
    let column = runs
        .factors
        .iter()
        .find(|column| column.name == plan.name)?;
    let FactorValues::Choice { levels, codes } = &column.values else {
        return None;
    };
    let asked = Asked {
        factor: &plan.name,
        models,
    };
    let aim = aimed(campaign, models);
    let specification = models.purity().zip(aim.spec);
    let specification = specification.map(|(purity, limit)| Specification {
        purity,
        limit,
        chance: aim.purity_chance,
    });
    let ceiling = |level: &str| match &plan.kind {
        FactorKind::Choice { ceiling, .. } => ceiling
            .iter()
            .find(|ceiling| ceiling.level == level)
            .map(|ceiling| ceiling.fraction),
        FactorKind::Amount { .. } => None,
    };
    let mut found: Vec<RouteLevel> = levels
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
            let mean_yield = asked.mean(&AimOf::YIELD, level);
            let ceiling = ceiling(level);
            RouteLevel {
                level: level.clone(),
                yields: of_level
                    .iter()
                    .filter_map(|run| run.contained.as_ref().ok().map(|m| m.value()))
                    .collect(),
                of_ceiling: mean_yield
                    .as_ref()
                    .ok()
                    .zip(ceiling)
                    .map(|(mean, ceiling)| scaled(mean, 1.0 / ceiling)),
                mean_yield,
                mean_purity: asked.mean(&AimOf::PURITY, level),
                mean_cost: asked.mean(&AimOf::Cost, level),
                cost_unit: models
                    .model(&AimOf::Cost)
                    .map_or_else(String::new, |model| model.unit.clone()),
                mean_labour: asked.mean(&AimOf::Labour, level),
                labour: middle(of_level.iter().filter_map(|run| run.labour).collect()),
                ceiling,
                purity_runs: purities.len(),
                meets_spec: campaign
                    .purity_spec
                    .map(|spec| purities.iter().filter(|purity| **purity >= spec).count()),
                chance_spec: specification
                    .as_ref()
                    .and_then(|asked_of| asked_of.chance_at(&asked.at(level)).ok().flatten()),
                chance: None,
                later_crops: crops::later_crops(&of_level),
            }
        })
        .collect();
    let none_meets = asked.chances(&aim, specification, &mut found, seed);
    let leader = found
        .iter()
        .filter_map(|level| Some((level.mean_yield.as_ref().ok()?.value, &level.level)))
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, level)| level.clone());
    let pairs = levels.len() * levels.len().saturating_sub(1) / 2;
    let pairs_of_yield: Vec<&Comparison> = models
        .responses
        .iter()
        .zip(comparisons)
        .filter(|(response, _)| response.kind == ModelOf::Yield)
        .flat_map(|(_, factors)| factors)
        .filter(|factor| factor.factor == plan.name)
        .flat_map(|factor| &factor.pairs)
        .collect();
    let lead: Vec<RouteDifference> = match (&leader, models.yields()) {
        (Some(leader), Some(model)) => levels
            .iter()
            .filter(|level| *level != leader)
            .map(|level| {
                let difference = model.level_difference(&plan.name, leader, level);
                let pair = level::between(&pairs_of_yield, leader, level);
                RouteDifference {
                    against: level.clone(),
                    adjusted_p: pair.as_ref().and_then(|pair| pair.p),
                    simultaneous: pair.and_then(|pair| pair.interval),
                    difference,
                }
            })
            .collect(),
        _ => Vec::new(),
    };
    let luck = 1.0 - campaign.confidence();
    let settled = !lead.is_empty()
        && lead
            .iter()
            .all(|other| other.adjusted_p.is_some_and(|p| p < luck));
    let pairs_of_goal = level::pairs(&asked, &aim.of, comparisons, seed);
    Some(Routes {
        best: best::best(&asked, &aim, &found, &pairs_of_goal, none_meets),
        aim,
        factor: plan.name.clone(),
        levels: found,
        lead,
        leader,
        settled,
        pairs,
    })
}
