//! Which values are charted?
//!
//! In: runs on one footing, the response, and its model if there is one. Out: [`Charted`].
//! This module never takes out the constant or what a lot gives, and never charts a run that is set aside.

use crate::campaign::LOT;
use crate::caveat::{Caveat, Doubt};
use crate::regression::{FittedModel, TermName};
use crate::runs::{ResponseColumn, Runs};

/// The values of one response that are charted, in run order.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Charted {
    /// Positions among the results.
    pub positions: Vec<usize>,
    /// The response as logged.
    pub logged: Vec<f64>,
    /// The response with the effects of the declared factors taken out.
    pub values: Vec<f64>,
    /// Terms that were taken out.
    pub taken_out: Vec<TermName>,
    /// Factors that these terms are about.
    pub factors: Vec<String>,
    /// Terms left in because they cannot be told apart.
    pub caveat: Option<Caveat>,
}

/// The charted values: those of the model without its effects; without a model, or with one of the constant alone, as logged.
///
/// Charted is the response minus what the declared factors do at the run more than at the reference mix.
/// Runs that are set aside or have no value are left out; so are those that the model could not use.
pub(super) fn charted(
    runs: &Runs,
    column: &ResponseColumn,
    model: Option<&FittedModel>,
) -> Charted {
    let usable = |position: &usize| runs.results[*position].set_aside.is_none();
    let logged = |position: usize| column.values[position];
    let all: Vec<usize> = (0..runs.results.len())
        .filter(usable)
        .filter(|&position| logged(position).is_some())
        .collect();
    let Some(model) = model else {
        return as_logged(column, all);
    };
    // What a lot gives is never taken out.
    let without = model.without_effects(&[LOT]);
    if without.taken_out.is_empty() {
        return Charted {
            caveat: left_in(&column.name, &without.not_separable),
            ..as_logged(column, all)
        };
    }
    // The model holds its runs in the same order, some of them left out.
    let mut next = 0;
    let mut positions = Vec::new();
    for position in all {
        if model.runs.get(next) == Some(&runs.results[position].run) {
            positions.push(position);
            next += 1;
        }
    }
    let factors = runs.factors.iter().map(|factor| factor.name.clone());
    Charted {
        logged: positions.iter().filter_map(|&p| logged(p)).collect(),
        positions,
        values: without.values,
        factors: factors
            .filter(|name| without.taken_out.iter().any(|term| term.has(name)))
            .collect(),
        taken_out: without.taken_out,
        caveat: left_in(&column.name, &without.not_separable),
    }
}

fn as_logged(column: &ResponseColumn, positions: Vec<usize>) -> Charted {
    let logged: Vec<f64> = positions.iter().filter_map(|&p| column.values[p]).collect();
    Charted {
        positions,
        values: logged.clone(),
        logged,
        taken_out: Vec::new(),
        factors: Vec::new(),
        caveat: None,
    }
}

fn left_in(response: &str, terms: &[TermName]) -> Option<Caveat> {
    if terms.is_empty() {
        return None;
    }
    let terms = terms.iter().map(TermName::to_string).collect();
    Some(Caveat::of_response(
        response,
        Doubt::EffectLeftInChart { terms },
    ))
}
