//! What is known of each route as the models see it?
//!
//! In: the factor that stands for the route, and the models. Out: adjusted means, chances and differences.
//! This module never compares routes on a response without a model of it.

use super::RouteLevel;
use super::chances::{DRAWS, chances};
use crate::decide::aimed::Aimed;
use crate::decide::models::{AimOf, ModelSet};
use crate::decide::specification::Specification;
use crate::regression::{
    Comparison, Estimate, FactorComparisons, Interval, Refusal, Settings, comparisons as compare,
};

/// What is asked about, and of which models.
#[derive(Clone, Copy)]
pub(super) struct Asked<'a> {
    pub factor: &'a str,
    pub models: &'a ModelSet,
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

impl Asked<'_> {
    /// A route at the reference mix of all else.
    pub fn at(&self, level: &str) -> Settings {
        Settings::default().level(self.factor, level)
    }

    /// The adjusted mean of a route, or why there is none.
    pub fn mean(&self, of: &AimOf, level: &str) -> Result<Estimate, NoMean> {
        let model = self
            .models
            .model(of)
            .ok_or_else(|| NoMean::NoModel(of.clone()))?;
        let means = model
            .adjusted_means
            .iter()
            .find(|means| means.factor == self.factor)
            .ok_or_else(|| NoMean::NoEffect {
                factor: self.factor.to_string(),
                of: of.clone(),
            })?;
        let found = means
            .levels
            .iter()
            .find(|mean| mean.level == level)
            .ok_or(NoMean::NotRun)?;
        let untold = || NoMean::CannotBeTold(found.reason.clone());
        found.mean.clone().ok_or_else(untold)
    }

    /// Puts the chances of being best beside each route that can be judged, and gives the chance that none will do.
    pub fn chances(
        &self,
        aim: &Aimed,
        specification: Option<Specification>,
        levels: &mut [RouteLevel],
        seed: u64,
    ) -> Option<f64> {
        let goal = self.models.model(&aim.of)?;
        let judged: Vec<usize> = (0..levels.len())
            .filter(|place| {
                let level = &levels[*place].level;
                let told = |of: &AimOf| self.mean(of, level).is_ok();
                told(&aim.of) && (specification.is_none() || told(&AimOf::PURITY))
            })
            .collect();
        let settings: Vec<Settings> = judged
            .iter()
            .map(|place| self.at(&levels[*place].level))
            .collect();
        let direction = aim.direction;
        let found = chances(goal, direction, &settings, specification, DRAWS, seed);
        let found = found.ok().flatten()?;
        for (place, chance) in judged.into_iter().zip(found.each) {
            levels[place].chance = Some(chance);
        }
        Some(found.none_meets)
    }
}

/// All pairs of routes compared on what is asked about, each once.
pub(super) fn pairs(
    asked: &Asked,
    of: &AimOf,
    known: &[Vec<FactorComparisons>],
    seed: u64,
) -> Vec<Comparison> {
    let models = asked.models;
    let of_known = models
        .responses
        .iter()
        .zip(known)
        .find(|(response, _)| response.is_of(of))
        .map(|(_, factors)| factors.clone());
    let factors = of_known
        .or_else(|| models.model(of).map(|model| compare(model, seed)))
        .unwrap_or_default();
    factors
        .into_iter()
        .filter(|factor| factor.factor == asked.factor)
        .flat_map(|factor| factor.pairs)
        .collect()
}

/// A pair of levels, the first of them counted positive whichever way it was compared.
pub(super) fn between(pairs: &[&Comparison], level: &str, against: &str) -> Option<Comparison> {
    pairs.iter().find_map(|pair| {
        if pair.level == level && pair.against == against {
            Some((*pair).clone())
        } else if pair.level == against && pair.against == level {
            Some(turned(pair))
        } else {
            None
        }
    })
}

/// The same pair the other way round.
pub(super) fn turned(pair: &Comparison) -> Comparison {
    Comparison {
        level: pair.against.clone(),
        against: pair.level.clone(),
        value: -pair.value,
        interval: pair.interval.map(|ends| Interval {
            low: -ends.high,
            high: -ends.low,
        }),
        ..pair.clone()
    }
}
