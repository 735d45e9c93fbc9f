//! Charts of a response, the effects of the declared factors taken out.
//!
//! In: runs on one footing, the response, and its model if there is one. Out: a [`Series`] with the doubts about it.
//! This module never takes out the constant or what a lot gives, and never charts a run that is set aside.

use super::causes::Lookout;
use super::charts_of_a_quantity::{Errors, Material, NotCharted, Place, Series, Subject, series};
use super::statistics::ChartKind;
use crate::campaign::{Drift, LOT};
use crate::caveat::{Caveat, Doubt};
use crate::regression::{FittedModel, ScatterOf, TermName};
use crate::runs::{ResponseColumn, Runs};

/// Charts of single values, weighted means and cumulative sums, or the reason why there are none, and the doubts.
///
/// Charted are the values of the model without its effects; without a model, or with one of the constant alone, those
/// logged: the response minus what the declared factors do at the run more than at the reference mix. Runs that are set
/// aside or have no value are left out; so are those that the model could not use.
pub(super) fn of_response(
    runs: &Runs,
    column: &ResponseColumn,
    model: Option<&FittedModel>,
    plan: Drift,
) -> (Result<Series, NotCharted>, Vec<Caveat>) {
    let is_charted =
        |run: &usize| runs.results[*run].set_aside.is_none() && column.values[*run].is_some();
    let mut positions: Vec<usize> = (0..runs.results.len()).filter(is_charted).collect();
    // What a lot gives is never taken out.
    let without = model.map(|model| (model, model.without_effects(&[LOT])));
    let not_separable = without.as_ref().map(|(_, found)| &found.not_separable);
    let left_in = not_separable.and_then(|terms| left_in(&column.name, terms));
    let (values, taken_out): (Vec<f64>, Vec<TermName>) = match without {
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
    let in_model: Vec<String> = factors.cloned().collect();
    let short = short_baseline(&column.name, &plan, values.len());
    let lookout = Lookout {
        runs,
        charted: &positions,
        in_model: &in_model,
    };
    let places = positions.iter().zip(values).filter_map(|(&run, charted)| {
        let result = &runs.results[run];
        Some(Place {
            name: result.run.clone(),
            lot: result.lot.clone(),
            logged: column.values[run]?,
            charted,
            used: None,
        })
    });
    let places: Vec<Place> = places.collect();
    let material = Material {
        errors: model.and_then(|model| errors(model, &places)),
        subject: Subject::Response(column.name.clone()),
        unit: column.unit.clone(),
        places,
        taken_out,
    };
    let kinds = [ChartKind::Individuals, ChartKind::Ewma, ChartKind::Cusum];
    let made = series(material, plan, &kinds, |kind, signal| {
        lookout.first_cause(kind, signal.onset, signal.first)
    });
    (made, left_in.into_iter().chain(short).collect())
}

/// What the model knows of the errors of charted values; nothing where it is not of the same runs.
fn errors(model: &FittedModel, places: &[Place]) -> Option<Errors> {
    let same_runs = model.runs.iter().eq(places.iter().map(|place| &place.name));
    let lots_differ = model.variance_components.iter().any(|component| {
        component.sd > 0.0 && matches!(&component.of, ScatterOf::Block(block) if block == LOT)
    });
    let of_runs = model.run_errors(&[LOT]).filter(|_| same_runs)?;
    Some(Errors {
        of_runs,
        lots_may_differ: lots_differ,
    })
}

/// A doubt where terms of the model stay in the chart because they cannot be told apart.
fn left_in(response: &str, terms: &[TermName]) -> Option<Caveat> {
    let terms: Vec<String> = terms.iter().map(TermName::to_string).collect();
    (!terms.is_empty()).then(|| Caveat::of_response(response, Doubt::EffectLeftInChart { terms }))
}

/// A doubt where the file asks for more first runs than there are, and something is estimated from them.
fn short_baseline(response: &str, plan: &Drift, runs: usize) -> Option<Caveat> {
    let asked = plan.baseline? as usize;
    let estimated = plan.centre.is_none() || plan.sd.is_none();
    (estimated && runs < asked)
        .then(|| Caveat::of_response(response, Doubt::FewerRunsThanBaseline { asked, runs }))
}
