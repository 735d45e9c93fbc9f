//! The section of question 3: what moves a response.
//!
//! In: a model, and what it says of the factors. Out: the section of that response.
//! This module never judges a figure: what it says comes with it.

use super::table;
use crate::caveat::About;
use crate::pipeline::Analysis;
use crate::regression::FittedModel;
use crate::report::doubts_and_gaps::doubts;
use crate::report::print::untold_terms::{proposal, tangled, written};
use crate::report::print::{Page, Shown, count, joined, percent};

/// Writes what the model of a response says of the factors.
pub fn write(page: &mut Page, analysis: &Analysis, position: usize, answer: &str) {
    let moves = &analysis.findings.moves[position];
    let mut models = analysis.models.models();
    let Some(model) = models.find(|model| model.response == moves.response) else {
        return;
    };
    page.show(&format!("moves-{}", moves.response));
    if !moves.effects.is_empty() {
        page.table(&table::effects(moves, &|name| {
            analysis.campaign.called(name)
        }));
        page.paragraph(&format!(
            "Each change is taken with all else at the reference mix: amounts at the mean of the runs used, other choices equally weighted over the levels that can be told. The intervals hold for each line by itself; among many lines {} miss by luck.",
            percent(1.0 - analysis.confidence(), 0)
        ));
    }
    page.paragraph(&scatter(model, &Shown::of(&moves.unit)));
    if !model.not_separable.is_empty() {
        page.paragraph("What cannot be told apart, and which runs would tell:");
        page.list(model.not_separable.iter().map(|group| {
            let terms = joined(written(&group.terms), ", ");
            let why = tangled(&group.why);
            let runs = joined(group.runs_that_would_separate.iter().map(proposal), "; or ");
            format!("{terms}: {why}. One of these would tell: {runs}.")
        }));
    }
    let about = About::Response(moves.response.clone());
    let caveats = analysis.caveats.iter();
    doubts(page, answer, caveats.filter(|caveat| caveat.about == about));
}

/// How many runs the model uses, and what it leaves unexplained.
fn scatter(model: &FittedModel, shown: &Shown) -> String {
    let Some(sd) = model.residual_sd else {
        return String::new();
    };
    let unseen = model.leave_one_out_sd.map(|sd| {
        let missed = shown.scatter(sd);
        format!(", and a run that the model has not seen is missed by {missed}")
    });
    format!(
        "The model uses {}. What it leaves unexplained scatters with a standard deviation of {}, all sources of scatter together ({} of freedom){}.",
        count(model.runs.len(), "run"),
        shown.scatter(sd),
        count(model.residual_df, "degree"),
        unseen.unwrap_or_default()
    )
}
