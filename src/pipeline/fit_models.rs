//! The models that a campaign asks for.
//!
//! In: a campaign and its runs. Out: [`Models`], with doubts about them and about runs that are in none.
//! This module never says what a model means.

use super::fit_data::{fit_data, no_runs, one_level};
use super::further::{Fitted, Further, further};
use super::scale;
use crate::campaign::{Campaign, FitMethod, LOT, ModelPlan};
use crate::caveat::{Caveat, Doubt};
use crate::error::{Error, ErrorKind, Faults};
use crate::regression::{Constant, Curve, FittedModel, Method, ModelParams};
use crate::runs::{self, ResponseKind, Runs};

/// Lots count as blocks by themselves from this many on; with fewer their spread cannot be told.
const FEWEST_LOTS_FOR_BLOCKS: usize = 4;

/// The models of a campaign and the doubts about which runs they use.
#[derive(Debug, Clone, Default)]
pub struct Models {
    /// One model a response.
    pub models: Vec<FittedModel>,
    /// What stands beside each model.
    pub further: Vec<Further>,
    /// Doubts about the models and about runs that are in none.
    pub caveats: Vec<Caveat>,
}

/// Fits the models that the campaign asks for, or that of one response alone.
///
/// # Errors
/// [`ErrorKind::Campaign`] without `[model]` or for an unknown response; faults of the models themselves.
pub fn fit(
    campaign: &Campaign,
    runs: &Runs,
    only: Option<&str>,
    seed: u64,
) -> Result<Models, Faults> {
    fit_to(Depth::WithFurther, campaign, runs, only, seed)
}

/// Refuses a response that the campaign does not have.
///
/// # Errors
/// [`ErrorKind::Campaign`] with the responses that it has.
pub fn known_response(campaign: &Campaign, runs: &Runs, only: Option<&str>) -> Result<(), Error> {
    let known = || runs.responses.iter().map(|response| response.name.as_str());
    match only.filter(|name| !known().any(|response| response == *name)) {
        None => Ok(()),
        Some(name) => Err(
            Error::new(ErrorKind::Campaign, format!("unknown response `{name}`"))
                .in_file(&campaign.file)
                .hint(format!(
                    "responses of this campaign: {}",
                    known().collect::<Vec<_>>().join(", ")
                )),
        ),
    }
}

/// How much is asked of the models.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Depth {
    /// The models alone.
    Models,
    /// Comparisons, diagnostics and further terms besides.
    WithFurther,
}

pub(super) fn fit_to(
    depth: Depth,
    campaign: &Campaign,
    runs: &Runs,
    only: Option<&str>,
    seed: u64,
) -> Result<Models, Faults> {
    let Some(plan) = &campaign.model else {
        return Err(no_model(campaign).into());
    };
    known_response(campaign, runs, only)?;
    let responses: Vec<&str> = match only {
        Some(name) => vec![name],
        None => plan.responses.iter().map(String::as_str).collect(),
    };
    let mut found = Models::default();
    let mut faults = scale::faults(campaign, runs);
    for response in responses {
        let data = fit_data(campaign, runs, response, &mut found.caveats);
        let by_default = only.is_none() && is_there_by_default(plan, runs, response);
        if data.runs.is_empty() && by_default {
            let never = Caveat::of_response(response, Doubt::ResponseNeverLogged);
            found.caveats.push(never);
            continue;
        }
        if let Some(error) = no_runs(runs, response, &data) {
            faults.push(error.in_file(&campaign.file));
            continue;
        }
        found
            .caveats
            .extend(one_level(response, &plan.effects, &data));
        let params = params_of(plan, response, unit(runs, response), blocks(campaign, runs));
        let fitted = params
            .clone()
            .check(&data)
            .and_then(|valid| valid.fit(&data).map(|model| (valid, model)));
        match fitted {
            Ok((valid, model)) => {
                found.caveats.extend(model.caveats.iter().cloned());
                let fitted = Fitted {
                    params: &params,
                    valid: &valid,
                    model: &model,
                    data: &data,
                };
                if depth == Depth::WithFurther {
                    found.further.push(further(campaign, runs, &fitted, seed));
                }
                found.models.push(model);
            }
            Err(found) => faults.extend(found.into_errors()),
        }
    }
    Faults::or(faults, found)
}

/// The model of a response with the effects that the campaign names.
pub(super) fn params_of(
    plan: &ModelPlan,
    response: &str,
    unit: String,
    blocks: Vec<String>,
) -> ModelParams {
    ModelParams {
        response: response.to_string(),
        unit,
        effects: plan.effects.clone(),
        joint: plan.joint.clone(),
        curved: plan
            .curved
            .iter()
            .filter(|curve| curve.power > 1)
            .map(|curve| Curve {
                factor: curve.factor.clone(),
                power: curve.power,
            })
            .collect(),
        blocks,
        constant: if plan.constant {
            Constant::Present
        } else {
            Constant::Absent
        },
        confidence: plan.confidence,
        method: match plan.method {
            FitMethod::Measured => Method::Measured,
            FitMethod::Plain => Method::Plain,
        },
        scale: scale::of(plan, response),
    }
}

pub(super) fn no_model(campaign: &Campaign) -> Error {
    Error::new(
        ErrorKind::Campaign,
        format!("`{}` has no `[model]`", campaign.file),
    )
    .in_file(&campaign.file)
    .hint("add `[model]` with `effects = [...]`; `effects = []` fits the constant alone")
}

/// Whether a response stands there because the campaign named none, and is not the yield.
fn is_there_by_default(plan: &ModelPlan, runs: &Runs, response: &str) -> bool {
    let column = runs.responses.iter().find(|c| c.name == response);
    let is_yield = column.is_some_and(|column| column.kind == ResponseKind::Yield);
    !is_yield && plan.responses.len() > 1
}

fn unit(runs: &Runs, response: &str) -> String {
    runs.responses
        .iter()
        .find(|column| column.name == response)
        .map(|column| column.unit.clone())
        .unwrap_or_default()
}

/// Blocks that the campaign names; by default the lots, when there are enough and they are no effect.
pub(super) fn blocks(campaign: &Campaign, runs: &Runs) -> Vec<String> {
    let Some(plan) = &campaign.model else {
        return Vec::new();
    };
    if let Some(named) = &plan.blocks {
        return named.clone();
    }
    let is_effect = plan
        .effects
        .iter()
        .chain(plan.joint.iter().flatten())
        .any(|name| name == LOT);
    let lots = runs.factors.iter().find(|factor| factor.name == LOT);
    match lots.map(|factor| &factor.values) {
        Some(runs::FactorValues::Choice { levels, .. })
            if !is_effect && levels.len() >= FEWEST_LOTS_FOR_BLOCKS =>
        {
            vec![LOT.into()]
        }
        _ => Vec::new(),
    }
}
