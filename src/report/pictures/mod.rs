//! Pictures of a report: which there are and what stands in them.
//!
//! In: an analysis. Out: [`Pictures`], finished SVG texts with file, question and caption.
//! This module never computes more than the unit that an axis shows.

mod of_drift;
mod of_models;
mod of_recycling;
mod of_runs;
mod of_settings;

use super::print::{Picture, Pictures, Shown};
use crate::charts::{Bar, ReferenceLine};
use crate::decide::ModelOf;
use crate::error::Error;
use crate::pipeline::{Analysis, Ends};
use crate::regression::{Estimate, called_out};
use crate::runs::Outcome;
use of_drift::drift_charts;
use of_models::{left_over, route_chart, what_moves};
use of_runs::{balance, budgets, yield_and_purity, yields_by_run};

/// Draws every picture that the analysis has figures for.
///
/// # Errors
/// What a chart cannot draw.
pub fn pictures(analysis: &Analysis) -> Result<Pictures, Error> {
    let mut pictures = Pictures::default();
    if analysis.findings.given.is_some() {
        pictures.0.push(yields_by_run(analysis)?);
        pictures.0.extend(yield_and_purity(analysis)?);
        pictures.0.extend(budgets(analysis)?);
    }
    if analysis.findings.went.is_some() {
        pictures.0.push(balance(analysis)?);
    }
    for (position, moves) in analysis.findings.moves.iter().enumerate() {
        let Some((model, further)) = analysis
            .models
            .models()
            .zip(&analysis.further)
            .find(|(model, _)| model.response == moves.response)
        else {
            continue;
        };
        let file = file_name(&moves.kind, position);
        pictures.0.extend(what_moves(moves, &file, analysis)?);
        let named = called_out(&further.diagnostics);
        pictures.0.extend(left_over(model, named, &file)?);
    }
    if let Some(routes) = &analysis.findings.routes {
        pictures.0.push(route_chart(routes)?);
    }
    if let Ok(recycling) = &analysis.findings.recycling {
        pictures.0.extend(of_recycling::where_it_pays(recycling)?);
        pictures.0.extend(of_recycling::going_round(recycling)?);
    }
    if let Some(Ok(best)) = &analysis.findings.settings {
        pictures.0.extend(of_settings::settings_picture(best)?);
    }
    pictures.0.extend(drift_charts(&analysis.drift)?);
    Ok(pictures)
}

/// A name from a campaign never stands in a path: only the two names of residuum's own do.
fn file_name(response: &ModelOf, position: usize) -> String {
    match response {
        ModelOf::Yield | ModelOf::Purity => response.name().to_string(),
        ModelOf::Declared(_) => format!("response-{}", position + 1),
    }
}

fn bar(analysis: &Analysis, outcome: &Outcome) -> Option<Bar> {
    Some(bar_of(analysis.ends(outcome.as_ref().ok()?)))
}

fn bar_of(ends: Ends) -> Bar {
    Bar {
        value: 100.0 * ends.value,
        low: 100.0 * ends.low,
        high: 100.0 * ends.high,
    }
}

fn estimate_bar(estimate: &Estimate, shown: &Shown) -> Bar {
    let ends = estimate.interval;
    Bar {
        value: shown.value(estimate.value),
        low: shown.value(ends.map_or(estimate.value, |ends| ends.low)),
        high: shown.value(ends.map_or(estimate.value, |ends| ends.high)),
    }
}

fn line(value: f64, label: impl Into<String>) -> ReferenceLine {
    let label = label.into();
    ReferenceLine { value, label }
}

/// The lots that runs are grouped by; none where no run has one.
fn groups<'l>(lots: impl Iterator<Item = &'l Option<String>>) -> Vec<String> {
    let lots: Vec<&Option<String>> = lots.collect();
    if lots.iter().all(|lot| lot.is_none()) {
        return Vec::new();
    }
    let named = lots.into_iter().map(|lot| lot.clone().unwrap_or_default());
    named.collect()
}
