//! Question 7 in a few sentences: which runs should be made next?
//!
//! In: the plan of further runs, and how names are made harmless. Out: the answer.
//! This module never plans a run.

use super::aim_words::Naming;
use super::next_words::{half, how_many, most_gained, shares};
use super::reasons::compared;
use super::shown::Shown;
use super::tangle_words::{proposal, written};
use super::words::and_list;
use crate::decide::NextRuns;
use crate::pipeline::Analysis;
use crate::regression::Proposal;

/// The answer in a few sentences.
pub(super) fn headline(analysis: &Analysis, plan: &NextRuns, naming: Naming) -> String {
    let parts: Vec<String> = shares(plan).iter().map(|part| naming(part)).collect();
    let gain = most_gained(plan).map_or_else(String::new, |width| {
        let shown = Shown::raw(&width.unit).named(naming);
        format!(
            " The difference they sharpen most in {} is {}: from {} to {} {}.",
            naming(&width.response),
            naming(&compared(&width.about)),
            half(width.before, shown.value(1.0)),
            half(width.after, shown.value(1.0)),
            shown.difference
        )
    });
    let tangled = if plan.still_tangled.is_empty() {
        String::new()
    } else {
        let terms: Vec<String> = written(&plan.still_tangled)
            .iter()
            .map(|t| naming(t))
            .collect();
        format!(
            " No run that may be proposed tells apart {}.",
            and_list(&terms)
        )
    };
    let apart: Vec<String> = separating(analysis, naming);
    let apart = if apart.is_empty() {
        String::new()
    } else {
        format!(
            " To tell apart what cannot be told now: {}.",
            apart.join("; ")
        )
    };
    format!(
        "{}, planned below: {}.{apart}{gain}{tangled}",
        how_many(plan),
        and_list(&parts)
    )
}

/// The first run of each kind that would tell apart what a model cannot.
fn separating(analysis: &Analysis, naming: Naming) -> Vec<String> {
    let mut wanted: Vec<&Proposal> = Vec::new();
    for group in analysis
        .models
        .models()
        .flat_map(|model| &model.not_separable)
    {
        if let Some(run) = group.runs_that_would_separate.first()
            && !wanted.contains(&run)
        {
            wanted.push(run);
        }
    }
    let wanted = wanted.into_iter();
    wanted.map(|run| naming(&proposal(run))).collect()
}
