//! Which runs and which errors a model is fitted to.
//!
//! In: runs on one footing and the model asked for. Out: [`FitData`].
//! This module never drops a run without naming it.

use super::measurement::measurement;
use crate::campaign::{Campaign, LOT};
use crate::caveat::{Caveat, Doubt, RunWithout};
use crate::decide::barred;
use crate::error::{Error, ErrorKind, Faults};
use crate::regression::{Factor, FactorValues, FitData, Measurement, ModelParams, ValidModel};
use crate::runs::{self, FactorColumn, Runs};

/// Blocks that the campaign names; by default the lots, from two on, when they are no effect.
pub(super) fn blocks(campaign: &Campaign, runs: &Runs) -> Vec<String> {
    let Some(plan) = &campaign.model else {
        return Vec::new();
    };
    if let Some(named) = &plan.blocks {
        return named.clone();
    }
    let mut effects = plan.effects.iter().chain(plan.joint.iter().flatten());
    let is_effect = effects.any(|name| name == LOT);
    let lots = runs.factor(LOT).map_or(0, |lots| lots.levels().len());
    let are_blocks = !is_effect && lots > 1;
    are_blocks.then(|| LOT.into()).into_iter().collect()
}

/// Factors that a model of the campaign uses, blocks and those of further terms included, each once.
fn factors_used<'a>(campaign: &Campaign, runs: &'a Runs, more: &[String]) -> Vec<&'a FactorColumn> {
    let named = campaign.model.iter().flat_map(|plan| {
        let curved = plan.curved.iter().map(|curve| &curve.factor);
        plan.effects
            .iter()
            .chain(plan.joint.iter().flatten())
            .chain(curved)
    });
    let blocks = blocks(campaign, runs);
    let mut found: Vec<&FactorColumn> = Vec::new();
    for column in named
        .chain(&blocks)
        .chain(more)
        .filter_map(|name| runs.factor(name))
    {
        if found.iter().all(|known| known.name != column.name) {
            found.push(column);
        }
    }
    found
}

/// The runs that have the response and every factor of the model and of further terms; the others are named in a doubt.
///
/// The values need not be those of a declared response, one a run; there are none of one that nobody knows.
pub(super) fn fit_data(
    campaign: &Campaign,
    runs: &Runs,
    response: &str,
    values: &[Option<f64>],
    more: &[String],
) -> (FitData, Option<Caveat>) {
    let (mut data, used, doubt) = plain_data(campaign, runs, response, values, more);
    if let Some(column) = runs.response(response) {
        data.measurement = measurement(runs, column.kind, &used);
    }
    (data, doubt)
}

/// The same with nothing known of the measurement, and the positions of the runs.
pub(super) fn plain_data(
    campaign: &Campaign,
    runs: &Runs,
    response: &str,
    values: &[Option<f64>],
    more: &[String],
) -> (FitData, Vec<usize>, Option<Caveat>) {
    let factors = factors_used(campaign, runs, more);
    let lacks = |factor: &FactorColumn, run: usize| {
        factor.amount(run).is_none() && factor.level(run).is_none()
    };
    let mut data = FitData {
        runs: Vec::new(),
        response: Vec::new(),
        factors: Vec::new(),
        measurement: Measurement::default(),
        never: barred(campaign),
    };
    let mut used = Vec::new();
    let mut without_factor: Vec<RunWithout> = Vec::new();
    for (position, run) in runs.results.iter().enumerate() {
        if run.set_aside.is_some() {
            continue;
        }
        if let Some(factor) = factors.iter().find(|factor| lacks(factor, position)) {
            without_factor.push(RunWithout {
                run: run.run.clone(),
                factor: factor.name.clone(),
            });
        } else if let Some(value) = values.get(position).copied().flatten() {
            data.runs.push(run.run.clone());
            data.response.push(value);
            used.push(position);
        }
    }
    data.factors = factors.iter().map(|factor| picked(factor, &used)).collect();
    data.factors.extend(lots_besides(runs, &factors, &used));
    let doubt = (!without_factor.is_empty()).then(|| {
        let runs = without_factor;
        Caveat::of_response(response, Doubt::RunWithoutFactor { runs })
    });
    (data, used, doubt)
}

/// The lots of the runs where the model has no use for them and every run names its own: a term may do the same as one of them.
fn lots_besides(runs: &Runs, factors: &[&FactorColumn], used: &[usize]) -> Option<Factor> {
    let lots = runs.factor(LOT)?;
    let is_used = factors.iter().any(|factor| factor.name == LOT);
    let all_known = used.iter().all(|&run| lots.level(run).is_some());
    (!is_used && all_known).then(|| picked(lots, used))
}

/// Checks a model against its runs, which also tells where a term does the same as a lot, block or not.
///
/// # Errors
/// As [`ModelParams::check`].
pub(super) fn checked(params: ModelParams, data: &FitData) -> Result<ValidModel, Faults> {
    Ok(params.check(data)?.watching(LOT))
}

/// Why a model has no run at all; `None` when it has one.
pub(super) fn no_runs(runs: &Runs, response: &str, data: &FitData) -> Option<Error> {
    if !data.runs.is_empty() {
        return None;
    }
    let set_aside = runs.results.len() - runs.used();
    Some(if set_aside == runs.results.len() {
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
    })
}

/// Names choices that had one level in all runs: they can have no effect in this log.
pub(super) fn one_level(response: &str, effects: &[String], data: &FitData) -> Vec<Caveat> {
    let effects = data
        .factors
        .iter()
        .filter(|factor| effects.contains(&factor.name));
    let alone = effects.filter_map(|factor| {
        let FactorValues::Choice { levels, codes } = &factor.values else {
            return None;
        };
        let first = *codes.first()?;
        let doubt = Doubt::FactorWithOneLevel {
            factor: factor.name.clone(),
            level: levels[first].clone(),
            runs: codes.len(),
        };
        let is_alone = codes.iter().all(|code| *code == first);
        is_alone.then(|| Caveat::of_response(response, doubt))
    });
    alone.collect()
}

fn picked(factor: &FactorColumn, used: &[usize]) -> Factor {
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
