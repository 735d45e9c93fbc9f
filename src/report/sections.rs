//! One section a question: picture, table, reading, doubts.
//!
//! In: an analysis. Out: the middle part of the report.
//! This module never repeats a section that has nothing to say: it leaves it out.

use super::another_crop;
use super::cost_section;
use super::doubts::{advice, seen};
use super::drift_section;
use super::escape::markdown;
use super::measurement;
use super::model_tables;
use super::next_section;
use super::numbers::{fixed, plain};
use super::pictures::Pictures;
use super::print::page::Page;
use super::print::table::{Cell, Column, Table};
use super::recycle_section;
use super::route_section::route;
use super::run_tables;
use super::settings_section::settings;
use super::shown::Shown;
use super::tangle_words::{mix, proposal, tangled, written};
use super::trust;
use super::words::{capital, count};
use crate::caveat::{About, Caveat};
use crate::decide::Moves;
use crate::pipeline::Analysis;
use crate::regression::{FittedModel, ResponseScale};

/// Writes the sections of questions 1 to 9.
pub(super) fn write(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    given(page, analysis, pictures);
    went(page, analysis, pictures);
    for moves in &analysis.findings.moves {
        let found = analysis
            .models
            .models()
            .zip(&analysis.further)
            .find(|(model, _)| model.response == moves.response);
        if let Some((model, further)) = found {
            what_moves(page, analysis, moves, model, pictures);
            trust::write(page, model, further);
            model_doubts(page, analysis, moves);
        }
    }
    if let Some(routes) = &analysis.findings.routes {
        route(page, analysis, routes, pictures);
    }
    recycle_section::write(page, analysis, pictures);
    if let Some(found) = &analysis.findings.settings {
        settings(page, found, &analysis.findings.recycling, pictures);
    }
    next_section::write(page, analysis);
    drift_section::write(page, analysis, pictures);
    cost_section::write(page, analysis);
}

pub(super) fn picture(page: &mut Page, pictures: &Pictures, name: &str) {
    if let Some(picture) = pictures.named(name) {
        page.picture(
            &picture.file,
            &markdown(&picture.question),
            &markdown(&picture.caption),
        );
    }
}

/// Doubts about some results, each beside what it touches.
pub(super) fn doubts(page: &mut Page, caveats: &[&Caveat]) {
    if caveats.is_empty() {
        return;
    }
    page.heading(3, "Doubts");
    let items: Vec<String> = caveats
        .iter()
        .map(|caveat| {
            format!(
                "{}. What to do: {}.",
                capital(&markdown(&seen(caveat))),
                markdown(&advice(caveat))
            )
        })
        .collect();
    page.list(&items);
}

fn given(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    if analysis.findings.given.is_none() {
        return;
    }
    page.heading(2, "1 What did each run really give?");
    picture(page, pictures, "yields-by-run");
    page.paragraph("Gross yield takes the feed as 100 % pure and the product as weighed; assay-adjusted yield counts what the feed and the residue charged really held; contained yield counts pure product only and is what the rest of this report calls yield. All in %, ± half the width of the interval; the last column names the source that takes most of the variance of the contained yield, as the next place to improve.");
    let runs = &analysis.runs;
    page.table(&run_tables::yields(
        runs,
        analysis.confidence(),
        runs.results.iter(),
    ));
    picture(page, pictures, "yield-and-purity");
    measurement::write(page, analysis, pictures);
    let caveats: Vec<&Caveat> = analysis
        .caveats
        .iter()
        .filter(|caveat| {
            !matches!(caveat.about, About::Response(_)) && !caveat.kind().is_about_the_balance()
        })
        .collect();
    doubts(page, &caveats);
}

fn went(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    let Some(went) = &analysis.findings.went else {
        return;
    };
    page.heading(2, "2 Where did the rest go?");
    picture(page, pictures, "balance");
    let columns = vec![
        Column::words("part of the charge"),
        Column::figures("middle of the runs").unit("%"),
        Column::figures("runs in which it was measured"),
    ];
    let parts = [
        ("in the crops", went.crops),
        ("in the mother liquor", went.liquor),
        ("in the residue", went.residue),
        ("nowhere that anyone measured", went.unaccounted),
    ];
    let rows = parts.map(|(name, part)| {
        let middle = part.middle.map(|part| Cell::fixed(part, 1).times(100.0));
        let middle = middle.unwrap_or_else(|| Cell::because("not measured"));
        vec![Cell::text(name), middle, Cell::Count(part.runs)]
    });
    page.table(&Table::new("Where did the rest go?", columns).with(rows));
    let caveats: Vec<&Caveat> = analysis
        .caveats
        .iter()
        .filter(|caveat| caveat.kind().is_about_the_balance())
        .collect();
    another_crop::write(page, analysis);
    doubts(page, &caveats);
}

fn what_moves(
    page: &mut Page,
    analysis: &Analysis,
    moves: &Moves,
    model: &FittedModel,
    pictures: &Pictures,
) {
    let shown = Shown::of(&moves.unit);
    let name = markdown(&moves.response);
    page.heading(2, &format!("3 What moves {name}?"));
    picture(page, pictures, &format!("moves-{}", moves.response));
    if let Some(sd) = model.residual_sd {
        let left_out = model.leave_one_out_sd.map_or_else(String::new, |sd| {
            format!(
                ", and a run that the model has not seen is missed by {} {}",
                plain(shown.value(sd)),
                shown.difference
            )
        });
        page.paragraph(&format!(
            "The model uses {}. What it leaves unexplained scatters with a standard deviation of {} {}, all sources of scatter together ({}){left_out}.",
            count(model.runs.len(), "run"),
            plain(shown.value(sd)),
            shown.difference,
            format_args!("{} of freedom", count(model.residual_df, "degree")),
        ));
    }
    if model.scale == ResponseScale::Logit {
        page.paragraph("This response is fitted on the logit scale, on which nothing can be foretold beyond 0 or 100 %. A mean is the value that half of the runs exceed, and its interval reaches further towards the middle of the range than towards the end; the ± of a change is of first order.");
    }
    if !moves.effects.is_empty() {
        page.table(&model_tables::effects(moves));
        page.paragraph(&format!(
            "Each change is taken with all else at the reference mix: amounts at the mean of the runs used, other choices equally weighted over the levels that can be told. The intervals hold for each line by itself; among many lines {} % miss by luck.",
            fixed(100.0 * (1.0 - analysis.confidence()), 0)
        ));
    }
    for means in &model.adjusted_means {
        page.heading(
            3,
            &format!(
                "{}: what to expect at each level",
                capital(&markdown(&means.factor))
            ),
        );
        page.table(&model_tables::means(model, means));
        page.paragraph(&format!("Reference mix: {}.", markdown(&mix(&means.mix))));
    }
    if !model.not_separable.is_empty() {
        page.heading(3, "What cannot be told apart, and which runs would tell");
        let items: Vec<String> = model
            .not_separable
            .iter()
            .map(|group| {
                let terms: Vec<String> =
                    written(&group.terms).iter().map(|t| markdown(t)).collect();
                let runs: Vec<String> = group
                    .runs_that_would_separate
                    .iter()
                    .map(|run| markdown(&proposal(run)))
                    .collect();
                format!(
                    "{}: {}. One of these would tell: {}.",
                    terms.join(", "),
                    markdown(&tangled(&group.why)),
                    runs.join("; or ")
                )
            })
            .collect();
        page.list(&items);
    }
    picture(page, pictures, &format!("left-over-{}", moves.response));
    picture(
        page,
        pictures,
        &format!("left-over-in-order-{}", moves.response),
    );
}

/// Doubts about one model.
fn model_doubts(page: &mut Page, analysis: &Analysis, moves: &Moves) {
    let caveats: Vec<&Caveat> = analysis
        .caveats
        .iter()
        .filter(|caveat| caveat.about == About::Response(moves.response.clone()))
        .collect();
    doubts(page, &caveats);
}
