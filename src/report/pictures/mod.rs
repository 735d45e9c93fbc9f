//! Pictures of a report: which there are and what stands in them.
//!
//! In: an analysis. Out: [`Picture`]s, finished SVG texts with file, question and caption.
//! This module never computes more than the unit that an axis shows.

mod of_drift;
pub(super) mod of_factors;
mod of_firmness;
mod of_models;
mod of_recycling;
pub(super) mod of_rounds;
mod of_runs;
mod of_settings;
mod parts;

use super::print::Picture;
use crate::charts::{MOST_DRAWN, described};
use crate::error::Error;
use crate::pipeline::Analysis;
use crate::regression::called_out;
use of_drift::drift_charts;
use of_models::{left_over, pairs, route_chart, what_moves};
use of_runs::{balance, budgets, yield_and_purity, yields_by_run};
use parts::file_name;

/// How the names of pictures begin in which each run has its place.
const DRAWN_BY_RUN: [&str; 7] = [
    "yields-by-run",
    "yield-and-purity",
    "balance",
    "left-over",
    "drift",
    "over-",
    "routes",
];

/// Draws every picture that the analysis has figures for.
///
/// # Errors
/// What a chart cannot draw.
pub fn pictures(analysis: &Analysis) -> Result<Vec<Picture>, Error> {
    let mut pictures = Vec::new();
    if analysis.findings.given.is_some() {
        pictures.push(yields_by_run(analysis)?);
        pictures.extend(yield_and_purity(analysis)?);
        pictures.extend(budgets(analysis)?);
    }
    if analysis.findings.went.is_some() {
        pictures.push(balance(analysis)?);
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
        pictures.extend(what_moves(moves, &file, analysis)?);
        let named = called_out(&further.diagnostics);
        pictures.extend(left_over(model, named, &file)?);
        pictures.extend(pairs(analysis, model, &further.comparisons, &file)?);
        pictures.extend(of_factors::over_factors(
            &analysis.campaign,
            model,
            &further.over,
            &file,
        )?);
    }
    if let Some(routes) = &analysis.findings.routes {
        pictures.push(route_chart(routes)?);
    }
    if let Ok(recycling) = &analysis.findings.recycling {
        pictures.extend(of_recycling::where_it_pays(recycling)?);
        pictures.extend(of_recycling::going_round(recycling)?);
    }
    if let Some(Ok(best)) = &analysis.findings.settings {
        pictures.extend(of_settings::settings_picture(&analysis.campaign, best)?);
    }
    pictures.extend(of_firmness::otherwise_fitted(analysis)?);
    pictures.extend(drift_charts(&analysis.drift)?);
    if analysis.runs.results.len() > MOST_DRAWN {
        let of_runs = pictures.iter_mut().filter(|picture| {
            let name = picture.name.as_str();
            DRAWN_BY_RUN.iter().any(|begin| name.starts_with(begin))
        });
        for picture in of_runs {
            picture.caption += " With so many runs not each is drawn but evenly spread ones, and those that are flagged or named; the tables hold all.";
        }
    }
    for picture in &mut pictures {
        picture.svg = described(&picture.svg, &picture.caption);
    }
    Ok(pictures)
}
