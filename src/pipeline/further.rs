//! What else is asked of a fitted model: which levels differ, can it be trusted, which terms belong.
//!
//! In: a model with the runs that it was fitted to. Out: [`Further`].
//! This module never changes the model.

use std::collections::BTreeMap;

use super::fit_data::fit_data_with;
use super::side_by_side::{Alike, Decides, alike, decides};
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
    /// What the best of them would decide, in the same order.
    pub decides: Vec<Decides>,
    /// Pairs of levels against the margin that the user states.
    pub alike: Vec<Alike>,
}

/// A model as it was asked for, checked and fitted.
pub(super) struct Fitted<'a> {
    pub params: &'a ModelParams,
    pub valid: &'a ValidModel,
    pub model: &'a FittedModel,
    pub data: &'a FitData,
}

pub(super) fn further(campaign: &Campaign, runs: &Runs, fitted: &Fitted, seed: u64) -> Further {
    let comparisons = comparisons(fitted.model, seed);
    let (selection, decides) = match selection(campaign, runs, fitted) {
        Some(Chosen { selection, decides }) => (Some(selection), decides),
        None => (None, Vec::new()),
    };
    let margin = campaign
        .aim
        .margins
        .iter()
        .find(|margin| margin.response == fitted.model.response)
        .map(|margin| margin.difference);
    Further {
        alike: alike(fitted, &comparisons, margin),
        comparisons,
        diagnostics: diagnostics(
            fitted.valid,
            fitted.model,
            fitted.data,
            &replicates(campaign, fitted.data),
        ),
        selection,
        decides,
    }
}

/// A ranking with what its best models would decide.
struct Chosen {
    selection: Selection,
    decides: Vec<Decides>,
}

fn selection(campaign: &Campaign, runs: &Runs, fitted: &Fitted) -> Option<Chosen> {
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
    let selection = candidates(fitted.params, &asked, &data);
    Some(Chosen {
        decides: decides(fitted.params, &selection.ranked, &data),
        selection,
    })
}

/// Groups of two or more runs with the same levels and amounts that count as the same.
///
/// Runs are first sorted by their levels, so that only runs of one combination of levels are compared.
fn replicates(campaign: &Campaign, data: &FitData) -> Vec<Vec<usize>> {
    let mut by_levels: BTreeMap<Vec<usize>, Vec<usize>> = BTreeMap::new();
    let amounts: Vec<Amount> = data
        .factors
        .iter()
        .filter_map(|factor| match &factor.values {
            FactorValues::Amount(values) => Some(Amount {
                values,
                same_within: same_within(campaign, &factor.name),
            }),
            FactorValues::Choice { .. } => None,
        })
        .collect();
    for run in 0..data.runs.len() {
        let levels: Vec<usize> = data
            .factors
            .iter()
            .filter_map(|factor| match &factor.values {
                FactorValues::Choice { codes, .. } => Some(codes[run]),
                FactorValues::Amount(_) => None,
            })
            .collect();
        by_levels.entry(levels).or_default().push(run);
    }
    let mut groups: Vec<Vec<usize>> = by_levels
        .into_values()
        .flat_map(|runs| gathered(&amounts, runs))
        .filter(|group| group.len() > 1)
        .collect();
    groups.sort();
    groups
}

/// An amount and how far apart two of its values may be and still count as the same.
struct Amount<'a> {
    values: &'a [f64],
    same_within: f64,
}

/// Runs of one combination of levels, gathered around the lowest of each cluster of amounts.
fn gathered(amounts: &[Amount], mut runs: Vec<usize>) -> Vec<Vec<usize>> {
    let Some(first) = amounts.first() else {
        return vec![runs];
    };
    runs.sort_by(|a, b| first.values[*a].total_cmp(&first.values[*b]).then(a.cmp(b)));
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for run in runs {
        // Sorted by the first amount, only groups that begin near enough can take the run in.
        let home = groups
            .iter_mut()
            .rev()
            .take_while(|group| first.values[run] - first.values[group[0]] <= first.same_within)
            .find(|group| {
                amounts.iter().all(|amount| {
                    (amount.values[run] - amount.values[group[0]]).abs() <= amount.same_within
                })
            });
        match home {
            Some(group) => group.push(run),
            None => groups.push(vec![run]),
        }
    }
    groups.iter_mut().for_each(|group| group.sort_unstable());
    groups
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
