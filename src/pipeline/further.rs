//! What stands beside a fitted model: levels compared, diagnostics, further terms, and what these would decide.
//!
//! In: a model with the runs that it was fitted to. Out: [`Further`].
//! This module never changes the model.

use std::collections::BTreeMap;

use super::fit_data::plain_data;
use super::logit;
use crate::campaign::Campaign;
use crate::decide::{margin, same_within};
use crate::regression::{
    Candidates, Curve, Diagnostic, EffectTest, EquivalenceVerdict, FactorComparisons, FactorValues,
    FitData, FittedModel, ModelParams, OverFactor, Selection, Settings, ValidModel, candidates,
    comparisons, diagnostics, equivalence, with_terms,
};
use crate::runs::Runs;

/// How many of the best candidate models are fitted again to see what they decide.
const MOST_MODELS: usize = 8;

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
    /// The response over each factor of the model.
    pub over: Vec<OverFactor>,
}

/// Which effects a candidate model says matter.
#[derive(Debug, Clone)]
pub struct Decides {
    /// Effects whose chance by luck is below the level.
    pub matter: Vec<EffectTest>,
    /// Effects that this log does not show in that model.
    pub do_not_show: Vec<EffectTest>,
}

/// Two levels held against a margin that does not matter in practice.
#[derive(Debug, Clone)]
pub struct Alike {
    /// The choice.
    pub factor: String,
    /// One level.
    pub level: String,
    /// The other.
    pub against: String,
    /// The margin, in the unit of the response.
    pub margin: f64,
    /// Chance that the runs would look so alike if the levels differed by the margin (two one-sided tests).
    pub p: Option<f64>,
    /// What it comes to.
    pub verdict: EquivalenceVerdict,
}

/// A model as it was asked for, checked and fitted.
pub(super) struct Fitted<'a> {
    pub params: &'a ModelParams,
    pub valid: &'a ValidModel,
    pub model: &'a FittedModel,
    pub data: &'a FitData,
}

/// Asks everything of a fitted model that stands beside it in a report.
pub(super) fn further(campaign: &Campaign, runs: &Runs, fitted: &Fitted, seed: u64) -> Further {
    let Fitted {
        valid, model, data, ..
    } = *fitted;
    let comparisons = comparisons(model, seed);
    let (selection, decides) = selection(campaign, runs, fitted).unzip();
    let margin = margin(campaign, &model.response);
    Further {
        alike: margin.map_or_else(Vec::new, |margin| alike(model, &comparisons, margin)),
        comparisons,
        diagnostics: diagnostics(valid, model, data, &replicates(campaign, fitted)),
        selection,
        decides: decides.unwrap_or_default(),
        over: model
            .factors()
            .filter_map(|factor| model.over(factor).ok())
            .collect(),
    }
}

/// A ranking of further terms with what its best models would decide.
fn selection(
    campaign: &Campaign,
    runs: &Runs,
    fitted: &Fitted,
) -> Option<(Selection, Vec<Decides>)> {
    let plan = campaign.model.as_ref()?;
    if plan.candidates.is_empty() && plan.candidate_powers.is_empty() {
        return None;
    }
    let powers = plan.candidate_powers.iter().map(|power| Curve {
        factor: power.factor.clone(),
        power: power.power,
    });
    let asked = Candidates {
        terms: plan.candidates.clone(),
        powers: powers.collect(),
    };
    let powers = asked.powers.iter().map(|power| &power.factor);
    let more: Vec<String> = asked
        .terms
        .iter()
        .flatten()
        .chain(powers)
        .cloned()
        .collect();
    let response = runs.response(&fitted.model.response)?;
    let (values, _) = logit::with_logits(plan, runs, response);
    // Candidates are ranked plainly.
    let (data, ..) = plain_data(campaign, runs, &response.name, &values, &more);
    let selection = candidates(fitted.params, &asked, &data);
    let decides = decides(fitted.params, &selection, &data);
    Some((selection, decides))
}

/// Fits the best candidates again, plainly as they were ranked, and keeps what each would decide.
fn decides(params: &ModelParams, selection: &Selection, data: &FitData) -> Vec<Decides> {
    let luck = 1.0 - params.confidence;
    let best = selection.ranked.iter().take(MOST_MODELS).map(|candidate| {
        let asked = with_terms(params, &candidate.added);
        let tests = asked.check(data).and_then(|valid| valid.effect_tests(data));
        let tests = tests.unwrap_or_default().into_iter();
        let (matter, do_not_show) = tests.partition(|test| test.p.is_some_and(|p| p < luck));
        Decides {
            matter,
            do_not_show,
        }
    });
    best.collect()
}

/// Every pair of levels against the margin.
fn alike(model: &FittedModel, comparisons: &[FactorComparisons], margin: f64) -> Vec<Alike> {
    let pairs = comparisons.iter().flat_map(|factor| &factor.pairs);
    let alike = pairs.filter_map(|pair| {
        let at = |level: &str| Settings::default().level(&pair.factor, level);
        let found = equivalence(model, &at(&pair.level), &at(&pair.against), margin).ok()?;
        Some(Alike {
            factor: pair.factor.clone(),
            level: pair.level.clone(),
            against: pair.against.clone(),
            margin,
            p: found.p,
            verdict: found.verdict,
        })
    });
    alike.collect()
}

/// Groups of two or more runs with the same levels and amounts that count as the same.
///
/// Runs are first sorted by their levels, so that only runs of one combination of levels are compared.
fn replicates(campaign: &Campaign, fitted: &Fitted) -> Vec<Vec<usize>> {
    let Fitted { params, data, .. } = *fitted;
    let joint = params.joint.iter().flatten();
    let used: Vec<&String> = params
        .effects
        .iter()
        .chain(joint)
        .chain(&params.blocks)
        .collect();
    let mut by_levels: BTreeMap<Vec<usize>, Vec<usize>> = BTreeMap::new();
    let mut amounts = Vec::new();
    let mut choices = Vec::new();
    for factor in data
        .factors
        .iter()
        .filter(|factor| used.contains(&&factor.name))
    {
        match &factor.values {
            FactorValues::Choice { codes, .. } => choices.push(codes),
            FactorValues::Amount(values) => amounts.push(Amount {
                values,
                same_within: same_within(campaign, &factor.name),
            }),
        }
    }
    for run in 0..data.runs.len() {
        let levels = choices.iter().map(|codes| codes[run]).collect();
        by_levels.entry(levels).or_default().push(run);
    }
    let alike = by_levels
        .into_values()
        .flat_map(|runs| gathered(&amounts, runs));
    let mut groups: Vec<Vec<usize>> = alike.filter(|group| group.len() > 1).collect();
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
