//! Which further models do the decisions need?
//!
//! In: runs and their costs. Out: [`SideModels`]: cost, labour, further reagents, residue left and declared responses without
//! a model of their own, each with the effects that the campaign names.
//! This module never stops the work: a model that cannot be fitted is left out.

use super::fit_data::{Column, fit_data_of};
use super::fit_models::{blocks, params_of};
use super::scale;
use crate::campaign::Campaign;
use crate::decide::{CostKind, Costs, ResponseModel, SideModels};
use crate::regression::{FittedModel, ModelParams, ResponseScale};
use crate::runs::{RunResult, Runs};

/// A balance that misses by more than so many standard uncertainties leaves its run out of the model of residue.
const COVERAGE: f64 = 2.0;

/// What a side model explains.
struct Side<'a> {
    name: &'a str,
    unit: String,
    scale: ResponseScale,
    values: Vec<Option<f64>>,
}

/// What a run tells of it, with the position of the run.
type OfRun<'a> = &'a dyn Fn(usize, &RunResult) -> Option<f64>;

/// The models that decisions need beside those of the report; none without `[model]`.
pub(super) fn side_models(campaign: &Campaign, runs: &Runs, costs: Option<&Costs>) -> SideModels {
    let Some(plan) = &campaign.model else {
        return SideModels::default();
    };
    let values_of = |of: OfRun| {
        let numbered = runs.results.iter().enumerate();
        numbered.map(|(position, run)| of(position, run)).collect()
    };
    // The scale that a response of the same name is fitted on is none of theirs.
    let side = |name: &str, unit: String, of: OfRun| {
        let side = Side {
            name,
            unit,
            scale: ResponseScale::Plain,
            values: values_of(of),
        };
        fitted(campaign, runs, &side)
    };
    let per_feed = |run: &RunResult, what: f64| {
        let feed = run.charge.feed_mass.filter(|feed| *feed > 0.0)?;
        Some(what / feed)
    };
    let per_gram = |costs: &Costs| format!("{}/g", costs.prices.currency);
    let unnamed = runs
        .responses
        .iter()
        .filter(|response| !plan.responses.contains(&response.name));
    SideModels {
        cost: costs.and_then(|costs| {
            side("cost", per_gram(costs), &|position, _| {
                let per_gram = costs.runs[position].per_gram.as_ref().ok()?;
                Some(per_gram.value())
            })
        }),
        reagents: costs.and_then(|costs| {
            side("further reagents", per_gram(costs), &|position, run| {
                let reagents = costs.runs[position].part(CostKind::Reagents)?;
                per_feed(run, reagents.value())
            })
        }),
        labour: side("labour", "min".into(), &|_, run| run.labour),
        residue_out: side("residue left", "g/g".into(), &|_, run| {
            let closed = run
                .balance
                .closure
                .as_ref()
                .is_ok_and(|closure| closure.value() - 1.0 <= COVERAGE * closure.uncertainty());
            per_feed(run, run.charge.residue_out.filter(|_| closed)?)
        }),
        declared: unnamed
            .filter_map(|response| {
                let side = Side {
                    name: &response.name,
                    unit: response.unit.clone(),
                    scale: scale::of(plan, &response.name),
                    values: response.values.clone(),
                };
                fitted(campaign, runs, &side)
            })
            .map(ResponseModel::new)
            .collect(),
    }
}

fn fitted(campaign: &Campaign, runs: &Runs, side: &Side) -> Option<FittedModel> {
    if side.values.iter().all(Option::is_none) {
        return None;
    }
    let column = Column {
        response: side.name,
        values: Some(&side.values),
    };
    // What is said about these runs is said with the models of the report.
    let data = fit_data_of(campaign, runs, &column, &[], &mut Vec::new());
    if data.runs.is_empty() {
        return None;
    }
    let params = ModelParams {
        scale: side.scale,
        ..params_of(
            campaign.model.as_ref()?,
            side.name,
            side.unit.clone(),
            blocks(campaign, runs),
        )
    };
    params.check(&data).ok()?.fit(&data).ok()
}
