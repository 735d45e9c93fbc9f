//! Which runs and which errors a model is fitted to.
//!
//! In: runs on one footing and the model asked for. Out: [`FitData`].
//! This module never drops a run without naming it.

use super::fit_models::blocks;
use super::measurement::measurement;
use crate::campaign::Campaign;
use crate::caveat::{Caveat, Doubt, RunWithout};
use crate::error::{Error, ErrorKind};
use crate::regression::{Factor, FactorValues, FitData};
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
    let column = runs.responses.iter().find(|column| column.name == response);
    fit_data_of(
        campaign,
        runs,
        &Column {
            response,
            values: column.map(|column| column.values.as_slice()),
        },
        more,
        caveats,
    )
}

/// What is to be explained: one value a run, or none at all.
pub(super) struct Column<'a> {
    pub response: &'a str,
    pub values: Option<&'a [Option<f64>]>,
}

/// The same for values that need not be a declared response.
pub(super) fn fit_data_of(
    campaign: &Campaign,
    runs: &Runs,
    column: &Column,
    more: &[String],
    caveats: &mut Vec<Caveat>,
) -> FitData {
    let Column { response, values } = *column;
    let mut names = factors_used(campaign, runs);
    for name in more {
        if !names.contains(name) {
            names.push(name.clone());
        }
    }
    let factors: Vec<&runs::FactorColumn> = names
        .iter()
        .filter_map(|name| runs.factors.iter().find(|factor| factor.name == *name))
        .collect();
    let has = |factor: &runs::FactorColumn, run: usize| match &factor.values {
        runs::FactorValues::Amount(values) => values[run].is_some(),
        runs::FactorValues::Choice { codes, .. } => codes[run].is_some(),
    };
    let mut used = Vec::new();
    let mut without_factor: Vec<RunWithout> = Vec::new();
    for (position, run) in runs.results.iter().enumerate() {
        if run.set_aside.is_some() {
            continue;
        }
        if let Some(factor) = factors.iter().find(|factor| !has(factor, position)) {
            without_factor.push(RunWithout {
                run: run.run.clone(),
                factor: factor.name.clone(),
            });
        } else if values.is_some_and(|values| values[position].is_some()) {
            used.push(position);
        }
    }
    if !without_factor.is_empty() {
        let doubt = Doubt::RunWithoutFactor {
            runs: without_factor,
        };
        caveats.push(Caveat::of_response(response, doubt));
    }
    let known = runs.responses.iter().find(|column| column.name == response);
    FitData {
        runs: used.iter().map(|p| runs.results[*p].run.clone()).collect(),
        response: used
            .iter()
            .filter_map(|p| values.and_then(|values| values[*p]))
            .collect(),
        factors: factors.iter().map(|factor| picked(factor, &used)).collect(),
        measurement: known.map_or_else(Default::default, |column| {
            measurement(runs, column.kind, &used)
        }),
    }
}

/// Why a model has no run at all; `None` when it has one.
pub(super) fn no_runs(runs: &Runs, response: &str, data: &FitData) -> Option<Error> {
    if !data.runs.is_empty() {
        return None;
    }
    let set_aside = runs
        .results
        .iter()
        .filter(|run| run.set_aside.is_some())
        .count();
    let error = if set_aside == runs.results.len() {
        Error::new(
            ErrorKind::Model,
            format!("no run is left for the model of `{response}`: all {set_aside} are set aside"),
        )
        .hint("take the reason out of `set_aside` where a run may count after all")
    } else {
        Error::new(
            ErrorKind::Model,
            format!("no run has a value of `{response}` and of every factor of its model"),
        )
        .hint(format!(
            "log what {response} needs, or take it out of `model.responses`"
        ))
    };
    Some(error)
}

/// Names choices that had one level in all runs: they can have no effect in this log.
pub(super) fn one_level(response: &str, effects: &[String], data: &FitData) -> Vec<Caveat> {
    data.factors
        .iter()
        .filter(|factor| effects.contains(&factor.name))
        .filter_map(|factor| {
            let FactorValues::Choice { levels, codes } = &factor.values else {
                return None;
            };
            let first = *codes.first()?;
            codes.iter().all(|code| *code == first).then(|| {
                let doubt = Doubt::FactorWithOneLevel {
                    factor: factor.name.clone(),
                    level: levels[first].clone(),
                    runs: codes.len(),
                };
                Caveat::of_response(response, doubt)
            })
        })
        .collect()
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
