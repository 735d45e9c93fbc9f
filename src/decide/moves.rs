//! Effects of what was varied on a response.
//!
//! In: a fitted model and the values that its factors had. Out: [`Moves`].
//! This module never compares what the runs cannot tell apart: it keeps the reason instead.

use serde::{Deserialize, Serialize};

use super::models::{ModelOf, ResponseModel, runs_of};
use crate::regression::{Estimate, FittedModel, Refusal, Settings};
use crate::runs::{FactorColumn, FactorValues, Runs};

/// What moves one response.
#[derive(Debug, Clone)]
pub struct Moves {
    /// Which response.
    pub kind: ModelOf,
    /// Its name.
    pub response: String,
    /// Its unit.
    pub unit: String,
    /// The difference that does not matter in practice, in that unit, where the campaign states one.
    pub margin: Option<f64>,
    /// Effects, those of the factor with the largest one first.
    pub effects: Vec<Effect>,
}

/// The effect of going from one setting to another, all else at the reference mix.
#[derive(Debug, Clone)]
pub struct Effect {
    /// The factor.
    pub factor: String,
    /// Unit of the factor.
    pub unit: String,
    /// What is compared.
    pub comparison: Comparison,
    /// The difference, or the reason why it cannot be told.
    pub estimate: Result<Estimate, Refusal>,
    /// What can be said of it.
    pub verdict: Verdict,
}

/// What is compared with what.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Comparison {
    /// A level with the baseline.
    Level {
        /// The level.
        level: String,
        /// The baseline.
        against: String,
    },
    /// An amount at one value with the same at another.
    Span {
        /// From this value.
        from: f64,
        /// To this value.
        to: f64,
        /// At this level of a choice that changes the effect.
        #[serde(rename = "with")]
        at: Option<AtLevel>,
    },
}

impl Comparison {
    /// The settings that are compared; the second are those against which the first are held.
    pub(super) fn settings(&self, factor: &str) -> [Settings; 2] {
        match self {
            Comparison::Level { level, against } => {
                [level, against].map(|level| Settings::default().level(factor, level))
            }
            Comparison::Span { from, to, at } => [to, from].map(|value| {
                let settings = Settings::default().amount(factor, *value);
                match at {
                    Some(at) => settings.level(&at.factor, &at.level),
                    None => settings,
                }
            }),
        }
    }
}

/// A level of a choice.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AtLevel {
    /// The choice.
    pub factor: String,
    /// The level.
    pub level: String,
}

/// What can be said of a difference.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Its interval lies above zero.
    Raises,
    /// Its interval lies below zero.
    Lowers,
    /// Its interval holds zero and lies within the margin that does not matter in practice.
    Negligible,
    /// Its interval holds zero and reaches beyond the margin: this log neither shows nor rules out an effect.
    NotSeen,
    /// The runs cannot tell it apart from something else.
    CannotBeTold,
}

/// Effects of all factors of a model; `margin` is the difference that does not matter in practice.
pub(super) fn moves(runs: &Runs, of: &ResponseModel, margin: Option<f64>) -> Moves {
    let model = &of.model;
    let in_model = |name: &String| model.tests.iter().any(|test| test.factors.contains(name));
    let columns = runs.factors.iter().filter(|column| in_model(&column.name));
    let mut by_factor: Vec<Vec<Effect>> = columns
        .map(|column| {
            let comparisons = comparisons(runs, model, column).into_iter();
            comparisons
                .map(|comparison| effect(model, column, comparison, margin))
                .collect()
        })
        .collect();
    let size = |effects: &[Effect]| {
        let told = effects
            .iter()
            .filter_map(|effect| effect.estimate.as_ref().ok());
        told.map(|estimate| estimate.value.abs())
            .fold(0.0, f64::max)
    };
    by_factor.sort_by(|a, b| size(b).total_cmp(&size(a)));
    Moves {
        kind: of.kind.clone(),
        response: model.response.clone(),
        unit: model.unit.clone(),
        margin,
        effects: by_factor.concat(),
    }
}

fn effect(
    model: &FittedModel,
    column: &FactorColumn,
    comparison: Comparison,
    margin: Option<f64>,
) -> Effect {
    let [settings, against] = comparison.settings(&column.name);
    let estimate = model.difference(&settings, &against);
    let interval = estimate.as_ref().map(|estimate| estimate.interval);
    Effect {
        factor: column.name.clone(),
        unit: column.unit.clone(),
        comparison,
        verdict: match (interval, margin) {
            (Err(_), _) => Verdict::CannotBeTold,
            (Ok(Some(ends)), _) if ends.low > 0.0 => Verdict::Raises,
            (Ok(Some(ends)), _) if ends.high < 0.0 => Verdict::Lowers,
            (Ok(Some(ends)), Some(margin)) if ends.low > -margin && ends.high < margin => {
                Verdict::Negligible
            }
            _ => Verdict::NotSeen,
        },
        estimate,
    }
}

/// What is compared of a factor: each level with the baseline, or an amount over the range that was run, in two halves when
/// it is curved, and at each level of a choice that changes it.
fn comparisons(runs: &Runs, model: &FittedModel, column: &FactorColumn) -> Vec<Comparison> {
    if let FactorValues::Choice { levels, .. } = &column.values {
        let others = levels.iter().skip(1);
        let against = |level: &String| Comparison::Level {
            level: level.clone(),
            against: levels[0].clone(),
        };
        return others.map(against).collect();
    }
    let used = runs_of(model, runs).into_iter();
    let used: Vec<f64> = used.filter_map(|(run, _)| column.amount(run)).collect();
    let low = used.iter().copied().fold(f64::INFINITY, f64::min);
    let high = used.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if low.partial_cmp(&high) != Some(std::cmp::Ordering::Less) {
        return Vec::new();
    }
    let curved = model
        .terms
        .iter()
        .any(|term| term.name.is_power_of(&column.name));
    let stretches = if curved {
        let half = (low + high) / 2.0;
        vec![[low, half], [half, high]]
    } else {
        vec![[low, high]]
    };
    let changed_by = changed_by(runs, model, &column.name);
    let over = |[from, to]: [f64; 2]| {
        let at = changed_by.iter().cloned();
        at.map(move |at| Comparison::Span { from, to, at })
    };
    stretches.into_iter().flat_map(over).collect()
}

/// The levels of the first choice that changes the effect of a factor; one `None` when there is no such choice.
fn changed_by(runs: &Runs, model: &FittedModel, factor: &str) -> Vec<Option<AtLevel>> {
    let others = model
        .tests
        .iter()
        .filter_map(|test| test.other_than(factor));
    let mut columns = others.filter_map(|other| runs.factor(other));
    let choice = columns.find(|column| matches!(column.values, FactorValues::Choice { .. }));
    let Some(choice) = choice else {
        return vec![None];
    };
    let levels = choice.levels().iter().map(|level| {
        Some(AtLevel {
            factor: choice.name.clone(),
            level: level.clone(),
        })
    });
    levels.collect()
}
