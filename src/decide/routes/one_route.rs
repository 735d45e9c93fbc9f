//! One route as the models see it and as its runs went.
//!
//! In: the factor that stands for the route, the models and the runs. Out: [`RouteLevel`], and pairs of routes compared.
//! This module never compares routes on a response without a model of it.

use super::chances::{ChanceOf, DRAWS, chances};
use crate::campaign::FactorKind;
use crate::decide::aim::{Aimed, scaled, times};
use crate::decide::evidence::Material;
use crate::decide::models::AimOf;
use crate::decide::specification::Specification;
use crate::distributions::middle;
use crate::measured::Measured;
use crate::regression::{
    Comparison, Estimate, FactorComparisons, Refusal, Settings, comparisons as compare,
};
use crate::runs::{FactorColumn, Outcome, RunResult};

/// One route.
#[derive(Debug, Clone)]
pub struct RouteLevel {
    /// Its name.
    pub level: String,
    /// Contained yield of each of its runs \[fraction\].
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
    /// Adjusted mean of the labour \[min\], or why there is none.
    pub mean_labour: Result<Estimate, NoMean>,
    /// Middle labour \[min\].
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

/// Share of the product in the second and later crops.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CropShare {
    /// Runs of the route with a weighed crop.
    pub runs: usize,
    /// Those of them that took a later crop.
    pub with_later: usize,
    /// Middle share of the product as weighed, over the runs that took one \[fraction\].
    pub middle: Option<f64>,
}

/// Why a route has no mean.
#[derive(Debug, Clone, PartialEq)]
pub enum NoMean {
    /// There is no model of it.
    NoModel(AimOf),
    /// The routes are no effect in the model of it.
    NoEffect {
        /// Factor that stands for the route.
        factor: String,
        /// What the model is of.
        of: AimOf,
    },
    /// No run of the model took the route.
    NotRun,
    /// The model cannot tell it.
    CannotBeTold(Option<Refusal>),
}

/// What is asked about, and by what it is judged.
#[derive(Clone, Copy)]
pub(super) struct Asked<'a> {
    pub factor: &'a str,
    pub material: &'a Material<'a>,
    pub aim: &'a Aimed,
    pub specification: Option<Specification<'a>>,
}

impl Asked<'_> {
    /// A route at the reference mix of all else.
    pub fn at(&self, level: &str) -> Settings {
        Settings::default().level(self.factor, level)
    }

    /// The adjusted mean of a route, or why there is none.
    ///
    /// # Errors
    /// [`NoMean`] without a model, an effect, a run or an estimate of it.
    pub fn mean(&self, of: &AimOf, level: &str) -> Result<Estimate, NoMean> {
        let model = self.material.models.model(of);
        let model = model.ok_or_else(|| NoMean::NoModel(of.clone()))?;
        let mut means = model.adjusted_means.iter();
        let means = means.find(|means| means.factor == self.factor);
        let mut levels = means
            .ok_or_else(|| NoMean::NoEffect {
                factor: self.factor.to_string(),
                of: of.clone(),
            })?
            .levels
            .iter();
        let found = levels
            .find(|mean| mean.level == level)
            .ok_or(NoMean::NotRun)?;
        let untold = || NoMean::CannotBeTold(found.reason.clone());
        found.mean.clone().ok_or_else(untold)
    }

    /// A route without its chance to be best.
    pub fn level(&self, column: &FactorColumn, level: &str) -> RouteLevel {
        let campaign = self.material.campaign;
        let all = self.material.runs.results.iter().enumerate();
        let runs: Vec<&RunResult> = all
            .filter(|(position, run)| {
                column.level(*position) == Some(level) && run.set_aside.is_none()
            })
            .map(|(_, run)| run)
            .collect();
        let values = |outcome: fn(&RunResult) -> &Outcome| -> Vec<f64> {
            let known = runs.iter().filter_map(|run| outcome(run).as_ref().ok());
            known.map(Measured::value).collect()
        };
        let purities = values(|run| &run.purity);
        let mean_yield = self.mean(&AimOf::YIELD, level);
        let mut ceilings = match campaign.factor(self.factor).map(|plan| &plan.kind) {
            Some(FactorKind::Choice { ceiling, .. }) => ceiling.iter(),
            _ => [].iter(),
        };
        let ceiling = ceilings.find(|ceiling| ceiling.level == level);
        let ceiling = ceiling.map(|ceiling| ceiling.fraction);
        let meets = |spec: f64| purities.iter().filter(|purity| **purity >= spec).count();
        let chance = |asked: Specification| asked.chance_at(&self.at(level)).ok().flatten();
        let of_cost = self.material.models.model(&AimOf::Cost);
        RouteLevel {
            level: level.to_string(),
            yields: values(|run| &run.contained),
            of_ceiling: mean_yield
                .as_ref()
                .ok()
                .zip(ceiling)
                .map(|(mean, ceiling)| scaled(mean, 1.0 / ceiling)),
            mean_yield,
            mean_purity: self.mean(&AimOf::PURITY, level),
            mean_cost: self.mean(&AimOf::Cost, level),
            cost_unit: of_cost.map_or_else(String::new, |model| model.unit.clone()),
            mean_labour: self.mean(&AimOf::Labour, level),
            labour: middle(runs.iter().filter_map(|run| run.labour).collect()),
            ceiling,
            purity_runs: purities.len(),
            meets_spec: campaign.purity_spec.map(meets),
            chance_spec: self.specification.and_then(chance),
            chance: None,
            later_crops: later_crops(&runs),
        }
    }

    /// Puts the chances of being best beside each route that can be judged, and gives the chance that none will do.
    pub fn chances(&self, levels: &mut [RouteLevel]) -> Option<f64> {
        let goal = self.material.models.model(&self.aim.of)?;
        let can_be_judged = |level: &&mut RouteLevel| {
            let told = |of: &AimOf| self.mean(of, &level.level).is_ok();
            told(&self.aim.of) && (self.specification.is_none() || told(&AimOf::PURITY))
        };
        let judged: Vec<&mut RouteLevel> = levels.iter_mut().filter(can_be_judged).collect();
        let settings: Vec<Settings> = judged.iter().map(|level| self.at(&level.level)).collect();
        let (direction, seed) = (self.aim.direction, self.material.seed);
        let found = chances(goal, direction, &settings, self.specification, DRAWS, seed);
        let found = found.ok().flatten()?;
        for (level, chance) in judged.into_iter().zip(found.each) {
            level.chance = Some(chance);
        }
        Some(found.none_meets)
    }

    /// All pairs of routes compared on a response that `[model]` names, each once.
    pub fn known_pairs(&self, of: &AimOf) -> Option<Vec<Comparison>> {
        let Material {
            models,
            comparisons,
            ..
        } = *self.material;
        let mut known = models.responses.iter().zip(comparisons);
        let (_, factors) = known.find(|(response, _)| response.is_of(of))?;
        Some(self.of_routes(factors))
    }

    /// All pairs of routes compared on what is aimed at, each once.
    pub fn pairs(&self) -> Vec<Comparison> {
        let anew = || {
            let model = self.material.models.model(&self.aim.of)?;
            Some(self.of_routes(&compare(model, self.material.seed)))
        };
        self.known_pairs(&self.aim.of)
            .or_else(anew)
            .unwrap_or_default()
    }

    fn of_routes(&self, factors: &[FactorComparisons]) -> Vec<Comparison> {
        let routes = factors.iter().filter(|factor| factor.factor == self.factor);
        routes.flat_map(|factor| factor.pairs.clone()).collect()
    }
}

/// A pair of levels, the first of them counted positive whichever way it was compared.
pub(super) fn between(pairs: &[Comparison], level: &str, against: &str) -> Option<Comparison> {
    let is_of = |pair: &Comparison, one, other| pair.level == one && pair.against == other;
    pairs.iter().find_map(|pair| {
        if is_of(pair, level, against) {
            return Some(pair.clone());
        }
        is_of(pair, against, level).then(|| Comparison {
            level: pair.against.clone(),
            against: pair.level.clone(),
            value: -pair.value,
            interval: pair.interval.map(|ends| times(ends, -1.0)),
            ..pair.clone()
        })
    })
}

/// How much of the product of a route comes in its later crops; `None` without a weighed crop.
fn later_crops(runs: &[&RunResult]) -> Option<CropShare> {
    let shares = runs.iter().filter_map(|run| {
        let mass = |least: u32| -> f64 {
            let crops = run.crops.iter().filter(|crop| crop.crop >= least);
            crops.map(|crop| crop.mass.value()).sum()
        };
        let all = mass(0);
        (all > 0.0).then(|| mass(2) / all)
    });
    let shares: Vec<f64> = shares.collect();
    let mut later = shares.clone();
    later.retain(|share| *share > 0.0);
    (!shares.is_empty()).then(|| CropShare {
        runs: shares.len(),
        with_later: later.len(),
        middle: middle(later),
    })
}
