//! Which runs and which errors a model is fitted to.
//!
//! In: runs on one footing and the model asked for. Out: [`FitData`].
//! This module never drops a run without naming it.

use super::blocks;
use crate::campaign::Campaign;
use crate::caveat::{About, Caveat};
use crate::measured::Growth;
use crate::regression::{
    ErrorEffect, ErrorSize, Factor, FactorValues, FitData, Measurement, OwnError, SharedError,
};
use crate::runs::{self, Runs};

/// Factors that a model of the campaign uses, blocks included, each once.
fn factors_used(campaign: &Campaign, runs: &Runs) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    if let Some(plan) = &campaign.model {
        let curved = plan.curved.iter().map(|curve| &curve.factor);
        for name in plan
            .effects
            .iter()
            .chain(plan.joint.iter().flatten())
            .chain(curved)
        {
            if !names.contains(name) {
                names.push(name.clone());
            }
        }
    }
    for name in blocks(campaign, runs) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// The runs that have the response and every factor of the model; the others are named in a caveat.
pub(super) fn fit_data(
    campaign: &Campaign,
    runs: &Runs,
    response: &str,
    caveats: &mut Vec<Caveat>,
) -> FitData {
    fit_data_with(campaign, runs, response, &[], caveats)
}

/// The same for a model with further factors.
pub(super) fn fit_data_with(
    campaign: &Campaign,
    runs: &Runs,
    response: &str,
    more: &[String],
    caveats: &mut Vec<Caveat>,
) -> FitData {
    let mut names = factors_used(campaign, runs);
    for name in more {
        if !names.contains(name) {
            names.push(name.clone());
        }
    }
    let values = runs.responses.iter().find(|column| column.name == response);
    let factors: Vec<&runs::FactorColumn> = names
        .iter()
        .filter_map(|name| runs.factors.iter().find(|factor| factor.name == *name))
        .collect();
    let has = |factor: &runs::FactorColumn, run: usize| match &factor.values {
        runs::FactorValues::Amount(values) => values[run].is_some(),
        runs::FactorValues::Choice { codes, .. } => codes[run].is_some(),
    };
    let mut used = Vec::new();
    let mut without_factor: Vec<String> = Vec::new();
    for (position, run) in runs.results.iter().enumerate() {
        if run.set_aside.is_some() {
            continue;
        }
        if let Some(factor) = factors.iter().find(|factor| !has(factor, position)) {
            without_factor.push(format!("{} (no {})", run.run, factor.name));
        } else if values.is_some_and(|column| column.values[position].is_some()) {
            used.push(position);
        }
    }
    if !without_factor.is_empty() {
        caveats.push(Caveat {
            kind: "run without a factor",
            about: About::Model(response.to_string()),
            seen: format!(
                "{} runs are in no model of {response}: {}",
                without_factor.len(),
                without_factor.join(", ")
            ),
            advice: "fill in the cells of the runs log, or take the factor out of the model".into(),
        });
    }
    FitData {
        runs: used.iter().map(|p| runs.results[*p].run.clone()).collect(),
        response: used
            .iter()
            .filter_map(|p| values.and_then(|column| column.values[*p]))
            .collect(),
        factors: factors.iter().map(|factor| picked(factor, &used)).collect(),
        measurement: measurement(runs, response, &used),
    }
}

fn picked(factor: &runs::FactorColumn, used: &[usize]) -> Factor {
    let values = match &factor.values {
        runs::FactorValues::Amount(values) => {
            FactorValues::Amount(used.iter().filter_map(|p| values[*p]).collect())
        }
        runs::FactorValues::Choice { levels, codes } => FactorValues::Choice {
            levels: levels.clone(),
            codes: used.iter().filter_map(|p| codes[*p]).collect(),
        },
    };
    Factor {
        name: factor.name.clone(),
        unit: factor.unit.clone(),
        values,
    }
}

/// What is known of the errors of a response before any fit.
fn measurement(runs: &Runs, response: &str, used: &[usize]) -> Measurement {
    let errors = runs::errors_of(runs, response, used);
    Measurement {
        shared: errors
            .shared
            .into_iter()
            .map(|source| SharedError {
                name: source.name,
                effects: source
                    .contributions
                    .iter()
                    .map(|contribution| ErrorEffect {
                        run: contribution.run,
                        size: match source.growth {
                            Growth::WithResult => ErrorSize::Relative(contribution.size),
                            Growth::Fixed => ErrorSize::Absolute(contribution.size),
                        },
                    })
                    .collect(),
            })
            .collect(),
        own: errors
            .own
            .into_iter()
            .map(|own| OwnError {
                relative: own.relative,
                absolute: own.fixed,
            })
            .collect(),
    }
}
