//! What else is asked of a fitted model: which levels differ, can it be trusted, which terms belong.
//!
//! In: a model with the runs that it was fitted to. Out: [`Further`].
//! This module never changes the model.

use super::fit_data::fit_data_with;
use crate::campaign::{Campaign, FactorKind};
use crate::regression::{
    Candidates, Curve, Diagnostic, FactorComparisons, FactorValues, FitData, FittedModel,
    ModelParams, Selection, ValidModel, candidates, comparisons, diagnostics,
};
use crate::runs::Runs;

/// What stands beside a model.
#[derive(Debug, Clone)]
pub struct Further {
    /// Levels of each choice compared with one another and with the baseline.
    pub comparisons: Vec<FactorComparisons>,
    /// Whether the model can be trusted, point by point.
    pub diagnostics: Vec<Diagnostic>,
    /// Models with further terms, where the campaign names candidates.
    pub selection: Option<Selection>,
}

/// A model as it was asked for, checked and fitted.
pub(super) struct Fitted<'a> {
    pub params: &'a ModelParams,
    pub valid: &'a ValidModel,
    pub model: &'a FittedModel,
    pub data: &'a FitData,
}

pub(super) fn further(campaign: &Campaign, runs: &Runs, fitted: &Fitted, seed: u64) -> Further {
    Further {
        comparisons: comparisons(fitted.model, seed),
        diagnostics: diagnostics(
            fitted.valid,
            fitted.model,
            fitted.data,
            &replicates(campaign, fitted.data),
        ),
        selection: selection(campaign, runs, fitted),
    }
}

fn selection(campaign: &Campaign, runs: &Runs, fitted: &Fitted) -> Option<Selection> {
    let plan = campaign.model.as_ref()?;
    if plan.candidates.is_empty() && plan.candidate_powers.is_empty() {
        return None;
    }
    let asked = Candidates {
        terms: plan.candidates.clone(),
        powers: plan
            .candidate_powers
            .iter()
            .map(|power| Curve {
                factor: power.factor.clone(),
                power: power.power,
            })
            .collect(),
    };
    let named = asked.terms.iter().flatten();
    let powers = asked.powers.iter().map(|power| &power.factor);
    let more: Vec<String> = named.chain(powers).cloned().collect();
    let data = fit_data_with(
        campaign,
        runs,
        &fitted.model.response,
        &more,
        &mut Vec::new(),
    );
    Some(candidates(fitted.params, &asked, &data))
}

/// Groups of two or more runs with the same levels and amounts that count as the same.
fn replicates(campaign: &Campaign, data: &FitData) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for run in 0..data.runs.len() {
        match groups
            .iter_mut()
            .find(|group| alike(campaign, data, run, group[0]))
        {
            Some(group) => group.push(run),
            None => groups.push(vec![run]),
        }
    }
    groups.retain(|group| group.len() > 1);
    groups
}

fn alike(campaign: &Campaign, data: &FitData, one: usize, other: usize) -> bool {
    data.factors.iter().all(|factor| match &factor.values {
        FactorValues::Choice { codes, .. } => codes[one] == codes[other],
        FactorValues::Amount(values) => {
            (values[one] - values[other]).abs() <= same_within(campaign, &factor.name)
        }
    })
}

/// How far apart two values of an amount may be and still count as the same.
fn same_within(campaign: &Campaign, factor: &str) -> f64 {
    campaign
        .factors
        .iter()
        .find(|plan| plan.name == factor)
        .and_then(|plan| match &plan.kind {
            FactorKind::Amount { same_within, .. } => *same_within,
            FactorKind::Choice { .. } => None,
        })
        .unwrap_or(0.0)
}
