//! Models that only decisions need.
//!
//! In: runs and their costs. Out: [`SideModels`]: cost, labour, further reagents, residue left and declared responses without
//! a model of their own, each with the effects that the campaign names.
//! This module never stops the work: a model that cannot be fitted is left out.

use super::fit_data::{blocks, checked, fit_data};
use super::fit_models::{Depth, Models, fit_to, params_of};
use super::logit;
use super::otherwise::pairs;
use crate::at_once::{beside, on_all_cores};
use crate::campaign::{Campaign, ModelPlan, StandsFor};
use crate::decide::{
    CostKind, Costs, Labour, ModelSet, ResponseModel, SideModels, YIELD, costs, residue_factor,
};
use crate::error::Faults;
use crate::regression::{Asking, FittedModel, ModelParams, ResponseScale, asked_otherwise};
use crate::runs::{RunResult, Runs};

/// Fits the models that decisions are made from, without all that a report holds besides; none without `[model]`.
///
/// # Errors
/// As [`super::fit`].
pub fn decision_models(campaign: &Campaign, runs: &Runs, seed: u64) -> Result<ModelSet, Faults> {
    let models = match campaign.model {
        Some(_) => fit_to(Depth::Models, campaign, runs, None, seed)?,
        None => Models::default(),
    };
    let side = side_models(campaign, runs, costs(campaign, runs).as_ref());
    Ok(ModelSet::new(models.models, side))
}

/// What a side model explains.
struct Side<'a> {
    name: &'a str,
    unit: String,
    scale: ResponseScale,
    values: Vec<Option<f64>>,
}

/// The models that decisions need beside those of the report; none without `[model]`.
pub(super) fn side_models(campaign: &Campaign, runs: &Runs, costs: Option<&Costs>) -> SideModels {
    let Some(plan) = &campaign.model else {
        return SideModels::default();
    };
    // The scale that a response of the same name is fitted on is none of theirs.
    let side = |name, unit: String, of: &dyn Fn(usize, &RunResult) -> Option<f64>| {
        let numbered = runs.results.iter().enumerate();
        Side {
            name,
            unit,
            scale: ResponseScale::Plain,
            values: numbered.map(|(position, run)| of(position, run)).collect(),
        }
    };
    let per_feed = |run: &RunResult, what: f64| {
        let feed = run.charge.feed_mass.filter(|feed| *feed > 0.0)?;
        Some(what / feed)
    };
    let labour = Labour::of(campaign, runs).known();
    let per_gram = |costs: &Costs| format!("{}/g", costs.prices.currency);
    let mut asked = vec![
        costs.map(|costs| {
            let of_runs = costs.per_gram_of_runs();
            side("cost", per_gram(costs), &|position, _| of_runs[position])
        }),
        costs.map(|costs| {
            side("further reagents", per_gram(costs), &|position, run| {
                let reagents = costs.runs[position].part(CostKind::Reagents)?;
                per_feed(run, reagents.value())
            })
        }),
        costs.map(|costs| {
            let brought = costs.second_of_runs(runs);
            side("second products", per_gram(costs), &|position, _| {
                brought[position]
            })
        }),
        Some(side("labour", "min".into(), &|position, _| {
            labour[position]
        })),
        Some(side("residue left", "g/g".into(), &|_, run| {
            let out = run.charge.residue_out.filter(|_| run.balance.closes());
            per_feed(run, out?)
        })),
    ];
    let unnamed = runs.responses.iter();
    let unnamed = unnamed.filter(|of| !plan.responses.contains(&of.name));
    asked.extend(unnamed.map(|response| {
        Some(Side {
            name: &response.name,
            unit: response.unit.clone(),
            scale: logit::of(plan, &response.name),
            values: logit::with_logits(plan, runs, response).0.into_owned(),
        })
    }));
    let (yield_by_route, models) = beside(
        || yield_by_route(campaign, runs, plan),
        || on_all_cores(asked, |side| fitted(campaign, runs, side?)),
    );
    let mut models = models.into_iter();
    let mut next = || models.next().flatten();
    SideModels {
        cost: next(),
        reagents: next(),
        second: next(),
        labour: next(),
        residue_out: next(),
        declared: models.flatten().map(ResponseModel::new).collect(),
        yield_by_route,
    }
}

/// The model of yield with the joint effect of residue and route, where both are effects and `[model]` has them apart.
fn yield_by_route(campaign: &Campaign, runs: &Runs, plan: &ModelPlan) -> Option<FittedModel> {
    let route = &campaign.factor_for(StandsFor::Route)?.name;
    let residue = residue_factor(campaign)?;
    let pair = pairs(campaign, plan)
        .into_iter()
        .find(|pair| pair[0] == residue && pair[1] == *route)?;
    let (values, _) = logit::with_logits(plan, runs, runs.response(YIELD)?);
    let (data, _) = fit_data(campaign, runs, YIELD, &values, &[]);
    let params = params_of(plan, YIELD, "1".into(), blocks(campaign, runs));
    let [one, other] = &pair;
    asked_otherwise(&params, &data, Asking::Joint([one, other]), None)
}

fn fitted(campaign: &Campaign, runs: &Runs, side: Side) -> Option<FittedModel> {
    let is_response = runs.response(side.name).is_some();
    // What is said about these runs is said with the models of the report.
    let (data, _) = fit_data(campaign, runs, side.name, &side.values, &[]);
    if data.runs.is_empty() {
        return None;
    }
    let plan = campaign.model.as_ref()?;
    let params = ModelParams {
        scale: side.scale,
        ..params_of(plan, side.name, side.unit, blocks(campaign, runs))
    };
    let valid = checked(params, &data).ok()?;
    let valid = match is_response {
        true => valid,
        false => valid.with_even_scatter(),
    };
    valid.fit(&data).ok()
}
