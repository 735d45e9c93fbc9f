//! Recovery routes compared, and which of them is best.
//!
//! In: models of yield, purity, cost and labour, the runs of each route. Out: [`Routes`].
//! This module never calls a route best when its lead over another may be luck.

mod best;
mod chances;
mod one_route;

pub use best::{Beaten, BestRoute, RouteLead};
pub use chances::{ChanceOf, Chances, DRAWS, chances};
pub use one_route::{CropShare, NoMean, RouteLevel};

use super::aim::{Aimed, aimed};
use super::evidence::Material;
use super::models::AimOf;
use super::plannable::barred;
use crate::campaign::StandsFor;
use crate::regression::{Estimate, Interval, Refusal};
use crate::runs::FactorValues;
use one_route::{Asked, between};

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
    /// Routes that are never to be proposed, and take no part.
    pub barred: Vec<String>,
}

/// How far the leading route is ahead of another.
#[derive(Debug, Clone)]
pub struct RouteDifference {
    /// The other route.
    pub against: String,
    /// Lead in contained yield \[fraction\].
    pub difference: Result<Estimate, Refusal>,
    /// Interval of the lead that allows for all pairs of routes \[fraction\].
    pub simultaneous: Option<Interval>,
    /// Chance of such a lead by luck, all pairs of routes counted together.
    pub adjusted_p: Option<f64>,
}

/// The routes compared; `None` where no choice that was run stands for the route.
pub(super) fn routes(material: &Material) -> Option<Routes> {
    let Material {
        campaign, models, ..
    } = *material;
    let plan = campaign.factor_for(StandsFor::Route)?;
    let column = material.runs.factor(&plan.name)?;
    let FactorValues::Choice { levels, .. } = &column.values else {
        return None;
    };
    let never = barred(campaign);
    let is_barred = |level: &String| {
        let mut alone = never.iter().filter_map(|never| never.alone(&plan.name));
        alone.any(|part| part.is_level(level))
    };
    let (barred, names): (Vec<String>, Vec<String>) = levels.iter().cloned().partition(is_barred);
    let aim = aimed(campaign, models);
    let asked = Asked {
        factor: &plan.name,
        material,
        aim: &aim,
        specification: aim.specification(models),
    };
    let mut levels: Vec<RouteLevel> = names.iter().map(|name| asked.level(column, name)).collect();
    let none_meets = asked.chances(&mut levels);
    let means = levels
        .iter()
        .filter_map(|level| Some((level.mean_yield.as_ref().ok()?, level)));
    let leader = means.max_by(|a, b| a.0.value.total_cmp(&b.0.value));
    let leader = leader.map(|(_, level)| level.level.clone());
    let pairs = asked.known_pairs(&AimOf::YIELD).unwrap_or_default();
    let leads = leader.as_ref().zip(models.yields()).map(|(leader, model)| {
        let others = names.iter().filter(|name| *name != leader);
        let lead = |other: &String| {
            let pair = between(&pairs, leader, other);
            RouteDifference {
                against: other.clone(),
                difference: model.level_difference(&plan.name, leader, other),
                adjusted_p: pair.as_ref().and_then(|pair| pair.p),
                simultaneous: pair.and_then(|pair| pair.interval),
            }
        };
        others.map(lead).collect()
    });
    let lead: Vec<RouteDifference> = leads.unwrap_or_default();
    let luck = 1.0 - campaign.confidence();
    let stands = |lead: &RouteDifference| lead.adjusted_p.is_some_and(|p| p < luck);
    Some(Routes {
        factor: plan.name.clone(),
        settled: !lead.is_empty() && lead.iter().all(stands),
        pairs: names.len() * names.len().saturating_sub(1) / 2,
        best: best::best(&asked, &levels, none_meets),
        levels,
        lead,
        leader,
        aim,
        barred,
    })
}
