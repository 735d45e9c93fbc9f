//! Values of a response that are charted.
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
    let mut positions: Vec<usize> = (0..runs.results.len())
        .filter(|&run| runs.results[run].set_aside.is_none() && column.values[run].is_some())
        .collect();
    // What a lot gives is never taken out.
    let without = model.map(|model| (model, model.without_effects(&[LOT])));
    let not_separable = without.as_ref().map(|(_, found)| &found.not_separable);
    let caveat = not_separable.and_then(|terms| left_in(&column.name, terms));
    let (values, taken_out) = match without {
        Some((model, without)) if !without.taken_out.is_empty() => {
            // The model holds its runs in the same order, some of them left out.
            let mut fitted = model.runs.iter().peekable();
            positions.retain(|&run| {
                let name = &runs.results[run].run;
                fitted.next_if_eq(&name).is_some()
            });
            (without.values, without.taken_out)
        }
        _ => {
            let logged = positions.iter().filter_map(|&run| column.values[run]);
            (logged.collect(), Vec::new())
        }
    };
    let factors = runs.factors.iter().map(|factor| &factor.name);
    let factors = factors.filter(|name| taken_out.iter().any(|term| term.has(name)));
    Charted {
        positions,
        values,
        factors: factors.cloned().collect(),
        taken_out,
        caveat,
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
