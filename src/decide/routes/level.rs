//! What is known of each route as the models see it?
//!
//! In: the factor that stands for the route, and the models. Out: adjusted means, chances and differences.
//! This module never compares routes on a response without a model of it.

use super::RouteLevel;
use super::chances::{DRAWS, chances};
use crate::decide::aimed::{Aimed, Judges};
use crate::decide::specification::Specification;
use crate::regression::{
    Comparison, Estimate, FactorComparisons, Interval, Settings, comparisons as compare,
};

/// What is asked about, and of which models.
#[derive(Clone, Copy)]
pub(super) struct Asked<'a> {
    pub factor: &'a str,
    pub judges: Judges<'a>,
}

impl Asked<'_> {
    /// A route at the reference mix of all else.
    pub fn at(&self, level: &str) -> Settings {
        Settings::default().level(self.factor, level)
    }

    /// The adjusted mean of a route, or why there is none.
    pub fn mean(&self, response: &str, level: &str) -> Result<Estimate, String> {
        let model = self
            .judges
            .of(response)
            .ok_or_else(|| format!("there is no model of {response}"))?;
        let means = model
            .adjusted_means
            .iter()
            .find(|means| means.factor == self.factor)
            .ok_or_else(|| format!("{} is no effect in the model of {response}", self.factor))?;
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
    }

    /// Puts the chances of being best beside each route that can be judged, and gives the chance that none will do.
    pub fn chances(
        &self,
        aim: &Aimed,
        specification: Option<Specification>,
        levels: &mut [RouteLevel],
        seed: u64,
    ) -> Option<f64> {
        let goal = self.judges.of(&aim.response)?;
        let judged: Vec<usize> = (0..levels.len())
            .filter(|place| {
                let level = &levels[*place].level;
                let told = |response: &str| self.mean(response, level).is_ok();
                told(&aim.response) && (specification.is_none() || told("purity"))
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

/// All pairs of routes compared on a response, each once.
pub(super) fn pairs(
    asked: &Asked,
    response: &str,
    known: &[Vec<FactorComparisons>],
    seed: u64,
) -> Vec<Comparison> {
    let models = asked.judges.models;
    let of_known = models
        .iter()
        .zip(known)
        .find(|(model, _)| model.response == response)
        .map(|(_, factors)| factors.clone());
    let factors = of_known
        .or_else(|| asked.judges.of(response).map(|model| compare(model, seed)))
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
