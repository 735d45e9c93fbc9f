//! The models that a campaign asks for.
//!
//! In: a campaign and its runs. Out: [`Models`], with doubts about them and about runs that are in none.
//! This module never says what a model means.

use super::failed_diagnostics;
use super::fit_data::{blocks, checked, fit_data, no_runs, one_level};
use super::further::{Fitted, Further, further};
use super::logit;
use crate::at_once::on_all_cores;
use crate::campaign::{Campaign, FitMethod, ModelPlan};
use crate::caveat::{Caveat, Doubt};
use crate::error::{Error, ErrorKind, Faults};
use crate::regression::{Constant, Curve, FitData, FittedModel, Method, ModelParams};
use crate::runs::{ResponseKind, Runs};

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
    let Some(name) = only.filter(|name| runs.response(name).is_none()) else {
        return Ok(());
    };
    let known: Vec<&str> = runs
        .responses
        .iter()
        .map(|column| column.name.as_str())
        .collect();
    Err(
        Error::new(ErrorKind::Campaign, format!("unknown response `{name}`"))
            .in_file(&campaign.file)
            .hint(format!("responses of this campaign: {}", known.join(", "))),
    )
}

/// How much is asked of the models.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Depth {
    /// The models alone.
    Models,
    /// Comparisons, diagnostics and further terms besides.
    WithFurther,
}

/// Fits the models that the campaign asks for, as far as a caller needs them.
///
/// # Errors
/// As [`fit`].
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
    let by_default = only.is_none() && responses.len() > 1;
    let fitted = on_all_cores(responses, |response| {
        fit_one(depth, campaign, runs, response, by_default, seed)
    });
    let mut found = Models::default();
    let mut faults = logit::faults(campaign, runs);
    for fitted in fitted {
        match fitted {
            Ok(one) => {
                found.models.extend(one.models);
                found.further.extend(one.further);
                found.caveats.extend(one.caveats);
            }
            Err(found) => faults.extend(found.into_errors()),
        }
    }
    Faults::or(faults, found)
}

/// Fits the model of one response; `by_default` where others stand beside it.
fn fit_one(
    depth: Depth,
    campaign: &Campaign,
    runs: &Runs,
    response: &str,
    by_default: bool,
    seed: u64,
) -> Result<Models, Faults> {
    let plan = campaign.model.as_ref().ok_or_else(|| no_model(campaign))?;
    let mut found = Models::default();
    let column = runs.response(response);
    let of_column = column.map(|column| logit::with_logits(plan, runs, column));
    let (values, doubts) = of_column.unwrap_or_default();
    found.caveats.extend(doubts);
    let (data, doubt) = fit_data(campaign, runs, response, &values, &[]);
    found.caveats.extend(doubt);
    // A response that stands there because the campaign named none, and is not the yield, need not be logged.
    let is_yield = column.is_some_and(|column| column.kind == ResponseKind::Yield);
    if data.runs.is_empty() && by_default && !is_yield {
        let never = Caveat::of_response(response, Doubt::ResponseNeverLogged);
        found.caveats.push(never);
        return Ok(found);
    }
    if let Some(error) = no_runs(runs, response, &data) {
        return Err(error.in_file(&campaign.file).into());
    }
    found
        .caveats
        .extend(one_level(response, &plan.effects, &data));
    let unit = column.map_or_else(String::new, |column| column.unit.clone());
    let params = params_of(plan, response, unit, blocks(campaign, runs));
    let valid = checked(params.clone(), &data)?;
    let model = valid.fit(&data)?;
    found.caveats.extend(model.caveats.iter().cloned());
    let fitted = Fitted {
        params: &params,
        valid: &valid,
        model: &model,
        data: &data,
    };
    if depth == Depth::WithFurther {
        let further = further(campaign, runs, &fitted, seed);
        let failed = failed_diagnostics::doubts(response, &further.diagnostics);
        found.caveats.extend(failed);
        found.further.push(further);
    }
    found.models.push(model);
    Ok(found)
}

/// What a plan asks of a response of a campaign, the plan its own or that of another, and the runs that have the response, the
/// factors of the campaign's own model and those named besides; None where the campaign does not have the response.
pub fn posed(
    plan: &ModelPlan,
    campaign: &Campaign,
    runs: &Runs,
    response: &str,
    more: &[String],
) -> Option<(ModelParams, FitData, Vec<Caveat>)> {
    let column = runs.response(response)?;
    let (values, mut doubts) = logit::with_logits(plan, runs, column);
    let (data, doubt) = fit_data(campaign, runs, response, &values, more);
    doubts.extend(doubt);
    let params = params_of(plan, response, column.unit.clone(), blocks(campaign, runs));
    Some((params, data, doubts))
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
        scale: logit::of(plan, response),
    }
}

/// The fault of a campaign that asks for no model.
pub(super) fn no_model(campaign: &Campaign) -> Error {
    Error::new(
        ErrorKind::Campaign,
        format!("`{}` has no `[model]`", campaign.file),
    )
    .in_file(&campaign.file)
    .hint("add `[model]` with `effects = [...]`; `effects = []` fits the constant alone")
}
