//! The section of question 3: what moves a response.
//!
//! In: a model, and what it says of the factors. Out: the section of that response.
//! This module never judges a figure: what it says comes with it.

use super::{table, trust};
use crate::caveat::{About, Caveat};
use crate::decide::Moves;
use crate::pipeline::Analysis;
use crate::regression::{FittedModel, ResponseScale};
use crate::report::beside::{doubts, picture};
use crate::report::print::term_words::{mix, proposal, tangled, written};
use crate::report::print::{Page, Pictures, Shown, capital, count, fixed, markdown, plain};

/// Writes one section for each response with a model.
pub fn write(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
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
}

/// What the model of a response says of the factors.
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
        page.table(&table::effects(moves));
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
        page.table(&table::means(model, means));
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
