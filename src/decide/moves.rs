//! Which of the things that were varied move a response, and by how much?
//!
//! In: a fitted model and the values that its factors had. Out: [`Moves`].
//! This module never compares what the runs cannot tell apart: it keeps the reason instead.

use serde::Serialize;

use super::models::{ModelOf, ResponseModel};
use crate::regression::{Estimate, FittedModel, Refusal, Settings};
use crate::runs::{FactorValues, Runs};

/// What moves one response.
#[derive(Debug, Clone)]
pub struct Moves {
    /// Which response.
    pub kind: ModelOf,
    /// Its name.
    pub response: String,
    /// Its unit.
    pub unit: String,
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
#[derive(Debug, Clone, PartialEq, Serialize)]
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

/// A level of a choice.
#[derive(Debug, Clone, PartialEq, Serialize)]
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

pub(super) fn moves(runs: &Runs, of: &ResponseModel, margin: Option<f64>) -> Moves {
    let model = &of.model;
    let mut effects = Vec::new();
    let in_model = |name: &String| model.tests.iter().any(|test| test.factors.contains(name));
    for column in &runs.factors {
        if !in_model(&column.name) {
            continue;
        }
        match &column.values {
            FactorValues::Choice { levels, .. } => {
                for level in &levels[1.min(levels.len())..] {
                    let found = model.level_difference(&column.name, level, &levels[0]);
                    effects.push(effect(
                        &column.name,
                        "",
                        Comparison::Level {
                            level: level.clone(),
                            against: levels[0].clone(),
                        },
                        found,
                    ));
                }
            }
            FactorValues::Amount(values) => {
                effects.extend(spans(runs, model, &column.name, &column.unit, values));
            }
        }
    }
    for effect in &mut effects {
        let within = |margin: f64| {
            effect
                .estimate
                .as_ref()
                .ok()
                .and_then(|estimate| estimate.interval)
                .is_some_and(|ends| ends.low > -margin && ends.high < margin)
        };
        if effect.verdict == Verdict::NotSeen && margin.is_some_and(within) {
            effect.verdict = Verdict::Negligible;
        }
    }
    let size = |factor: &str, effects: &[Effect]| {
        effects
            .iter()
            .filter(|effect| effect.factor == factor)
            .filter_map(|effect| effect.estimate.as_ref().ok())
            .map(|estimate| estimate.value.abs())
            .fold(0.0, f64::max)
    };
    let mut order: Vec<String> = Vec::new();
    for effect in &effects {
        if !order.contains(&effect.factor) {
            order.push(effect.factor.clone());
        }
    }
    order.sort_by(|a, b| size(b, &effects).total_cmp(&size(a, &effects)));
    effects.sort_by_key(|effect| order.iter().position(|name| *name == effect.factor));
    Moves {
        kind: of.kind.clone(),
        response: model.response.clone(),
        unit: model.unit.clone(),
        effects,
    }
}

fn effect(
    factor: &str,
    unit: &str,
    comparison: Comparison,
    estimate: Result<Estimate, Refusal>,
) -> Effect {
    let verdict = match &estimate {
        Err(_) => Verdict::CannotBeTold,
        Ok(estimate) => match estimate.interval {
            Some(interval) if interval.low > 0.0 => Verdict::Raises,
            Some(interval) if interval.high < 0.0 => Verdict::Lowers,
            _ => Verdict::NotSeen,
        },
    };
    Effect {
        factor: factor.to_string(),
        unit: unit.to_string(),
        comparison,
        estimate,
        verdict,
    }
}

/// The effect of an amount over the range that was run: in two halves when it is curved,
/// at each level of a choice that changes it.
fn spans(
    runs: &Runs,
    model: &FittedModel,
    factor: &str,
    unit: &str,
    values: &[Option<f64>],
) -> Vec<Effect> {
    let used: Vec<f64> = runs
        .results
        .iter()
        .zip(values)
        .filter(|(run, _)| model.runs.contains(&run.run))
        .filter_map(|(_, value)| *value)
        .collect();
    let low = used.iter().copied().fold(f64::INFINITY, f64::min);
    let high = used.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if low.partial_cmp(&high) != Some(std::cmp::Ordering::Less) {
        return Vec::new();
    }
    let curved = model.terms.iter().any(|term| term.name.is_power_of(factor));
    let stretches = if curved {
        let half = (low + high) / 2.0;
        vec![[low, half], [half, high]]
    } else {
        vec![[low, high]]
    };
    let mut effects = Vec::new();
    for [from, to] in stretches {
        for at in changed_by(runs, model, factor) {
            let settings = |value: f64| {
                let settings = Settings::default().amount(factor, value);
                match &at {
                    Some(at) => settings.level(&at.factor, &at.level),
                    None => settings,
                }
            };
            let found = model.difference(&settings(to), &settings(from));
            effects.push(effect(
                factor,
                unit,
                Comparison::Span { from, to, at },
                found,
            ));
        }
    }
    effects
}

/// The levels of the first choice that changes the effect of a factor; one `None` when there is no such choice.
fn changed_by(runs: &Runs, model: &FittedModel, factor: &str) -> Vec<Option<AtLevel>> {
    for test in &model.tests {
        let Some(other) = test.other_than(factor) else {
            continue;
        };
        for column in runs.factors.iter().filter(|column| column.name == other) {
            if let FactorValues::Choice { levels, .. } = &column.values {
                return levels
                    .iter()
                    .map(|level| {
                        Some(AtLevel {
                            factor: column.name.clone(),
                            level: level.clone(),
                        })
                    })
                    .collect();
            }
        }
    }
    vec![None]
}
