//! The section of question 3: what moves a response.
//!
//! In: a model, and what it says of the factors. Out: the section of that response.
//! This module never judges a figure: what it says comes with it.

use super::{table, trust};
use crate::caveat::About;
use crate::decide::Moves;
use crate::pipeline::Analysis;
use crate::regression::{FittedModel, ResponseScale};
use crate::report::doubts_and_gaps::doubts;
use crate::report::print::untold_terms::{mix, proposal, tangled, written};
use crate::report::print::{Page, Shown, capital, count, joined, percent};

/// Writes one section for each response with a model.
pub fn write(page: &mut Page, analysis: &Analysis) {
    for moves in &analysis.findings.moves {
        let mut models = analysis.models.models().zip(&analysis.further);
        let found = models.find(|(model, _)| model.response == moves.response);
        if let Some((model, further)) = found {
            what_moves(page, analysis, moves, model);
            trust::write(page, model, further);
            let about = About::Response(moves.response.clone());
            let caveats = analysis.caveats.iter();
            doubts(page, caveats.filter(|caveat| caveat.about == about));
        }
    }
}

/// What the model of a response says of the factors.
fn what_moves(page: &mut Page, analysis: &Analysis, moves: &Moves, model: &FittedModel) {
    let name = &moves.response;
    page.heading(2, &format!("3 What moves {name}?"));
    page.show(&format!("moves-{name}"));
    if let Some(sd) = model.residual_sd {
        let shown = Shown::of(&moves.unit);
        let unseen = model.leave_one_out_sd.map(|sd| {
            let missed = shown.scatter(sd);
            format!(", and a run that the model has not seen is missed by {missed}")
        });
        page.paragraph(&format!(
            "The model uses {}. What it leaves unexplained scatters with a standard deviation of {}, all sources of scatter together ({} of freedom){}.",
            count(model.runs.len(), "run"),
            shown.scatter(sd),
            count(model.residual_df, "degree"),
            unseen.unwrap_or_default()
        ));
    }
    if model.scale == ResponseScale::Logit {
        page.paragraph("This response is fitted on the logit scale, on which nothing can be foretold beyond 0 or 100 %. A mean is the value that half of the runs exceed, and its interval reaches further towards the middle of the range than towards the end; the ± of a change is of first order.");
    }
    if !moves.effects.is_empty() {
        page.table(&table::effects(moves));
        page.paragraph(&format!(
            "Each change is taken with all else at the reference mix: amounts at the mean of the runs used, other choices equally weighted over the levels that can be told. The intervals hold for each line by itself; among many lines {} miss by luck.",
            percent(1.0 - analysis.confidence(), 0)
        ));
    }
    for means in &model.adjusted_means {
        let factor = capital(&means.factor);
        page.heading(3, &format!("{factor}: what to expect at each level"));
        page.table(&table::means(model, means));
        page.paragraph(&format!("Reference mix: {}.", mix(&means.mix)));
    }
    if !model.not_separable.is_empty() {
        page.heading(3, "What cannot be told apart, and which runs would tell");
        page.list(model.not_separable.iter().map(|group| {
            let terms = joined(written(&group.terms), ", ");
            let why = tangled(&group.why);
            let runs = joined(group.runs_that_would_separate.iter().map(proposal), "; or ");
            format!("{terms}: {why}. One of these would tell: {runs}.")
        }));
    }
    page.show(&format!("left-over-{name}"));
    page.show(&format!("left-over-in-order-{name}"));
}
