//! Which further models do the decisions need?
//!
//! In: runs and their costs. Out: models of cost, labour, further reagents, residue left and declared responses without a
//! model of their own, each with the effects that the campaign names.
//! This module never stops the work: a model that cannot be fitted is left out.

use super::fit_data::{Column, fit_data_of};
use super::{blocks, params_of};
use crate::campaign::Campaign;
use crate::decide::{COST, CostKind, Costs, LABOUR, REAGENTS, RESIDUE_OUT};
use crate::regression::FittedModel;
use crate::runs::{RunResult, Runs};

/// A balance that misses by more than so many standard uncertainties leaves its run out of the model of residue.
const COVERAGE: f64 = 2.0;

/// What a side model explains.
struct Side {
    name: String,
    unit: String,
    values: Vec<Option<f64>>,
}

/// The models that decisions need beside those of the report; none without `[model]`.
pub(super) fn side_models(
    campaign: &Campaign,
    runs: &Runs,
    costs: Option<&Costs>,
) -> Vec<FittedModel> {
    let Some(plan) = &campaign.model else {
        return Vec::new();
    };
    let mut sides = Vec::new();
    let mut side = |name: &str, unit: String, of: &dyn Fn(usize, &RunResult) -> Option<f64>| {
        let numbered = runs.results.iter().enumerate();
        let values: Vec<Option<f64>> = numbered.map(|(position, run)| of(position, run)).collect();
        if values.iter().any(Option::is_some) {
            sides.push(Side {
                name: name.into(),
                unit,
                values,
            });
        }
    };
    let per_feed = |run: &RunResult, what: f64| {
        let feed = run.charge.feed_mass.filter(|feed| *feed > 0.0)?;
        Some(what / feed)
    };
    if let Some(costs) = costs {
        let currency = &costs.prices.currency;
        side(COST, format!("{currency}/g"), &|position, _| {
            let per_gram = costs.runs[position].per_gram.as_ref().ok()?;
            Some(per_gram.value())
        });
        side(REAGENTS, format!("{currency}/g"), &|position, run| {
            let reagents = costs.runs[position].part(CostKind::Reagents)?;
            per_feed(run, reagents.value())
        });
    }
    side(LABOUR, "min".into(), &|_, run| run.labour);
    side(RESIDUE_OUT, "g/g".into(), &|_, run| {
        let closed = run
            .balance
            .closure
            .as_ref()
            .is_ok_and(|closure| closure.value() - 1.0 <= COVERAGE * closure.uncertainty());
        per_feed(run, run.charge.residue_out.filter(|_| closed)?)
    });
    for response in &runs.responses {
        let modelled = plan.responses.contains(&response.name) || response.name == LABOUR;
        if !modelled {
            side(&response.name, response.unit.clone(), &|position, _| {
                response.values[position]
            });
        }
    }
    sides
        .iter()
        .filter_map(|side| fitted(campaign, runs, side))
        .collect()
}

fn fitted(campaign: &Campaign, runs: &Runs, side: &Side) -> Option<FittedModel> {
    let column = Column {
        response: &side.name,
        values: Some(&side.values),
    };
    // What is said about these runs is said with the models of the report.
    let data = fit_data_of(campaign, runs, &column, &[], &mut Vec::new());
    if data.runs.is_empty() {
        return None;
    }
    let params = params_of(
        campaign.model.as_ref()?,
        &side.name,
        side.unit.clone(),
        blocks(campaign, runs),
    );
    params.check(&data).ok()?.fit(&data).ok()
}
