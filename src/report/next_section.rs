//! Question 7: which runs should be made next?
//!
//! In: the plan of further runs. Out: its section of the report, its line on the first screen.
//! This module never plans a run.

use super::doubts::{advice, seen};
use super::escape::markdown;
use super::next_tables;
use super::next_words::{half, how_many, most_gained, shares};
use super::print::page::Page;
use super::reasons::compared;
use super::shown::Shown;
use super::tangle_words::{proposal, written};
use super::words::{and_list, capital};
use crate::decide::NextRuns;
use crate::pipeline::Analysis;
use crate::regression::Proposal;

/// The line on the first screen; absent without a model.
pub(super) fn first_line(analysis: &Analysis) -> Option<String> {
    let plan = match analysis.next.as_ref()? {
        Ok(plan) => plan,
        Err(error) => {
            return Some(format!(
                "**7 What to run next?** {}. *open*",
                capital(&markdown(error.message()))
            ));
        }
    };
    let parts: Vec<String> = shares(plan).iter().map(|part| markdown(part)).collect();
    let gain = most_gained(plan).map_or_else(String::new, |width| {
        let shown = Shown::of(&width.unit);
        format!(
            " The difference they sharpen most in {} is {}: from {} to {} {}.",
            markdown(&width.response),
            markdown(&compared(&width.about)),
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
            .map(|t| markdown(t))
            .collect();
        format!(
            " No run that may be proposed tells apart {}.",
            and_list(&terms)
        )
    };
    let apart: Vec<String> = separating(analysis);
    let apart = if apart.is_empty() {
        String::new()
    } else {
        format!(
            " To tell apart what cannot be told now: {}.",
            apart.join("; ")
        )
    };
    Some(format!(
        "**7 What to run next?** {}, planned below: {}.{apart}{gain}{tangled} *open*",
        how_many(plan),
        and_list(&parts)
    ))
}

/// The first run of each kind that would tell apart what a model cannot.
fn separating(analysis: &Analysis) -> Vec<String> {
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
    wanted.map(|run| markdown(&proposal(run))).collect()
}

/// Writes the section.
pub(super) fn write(page: &mut Page, analysis: &Analysis) {
    let Some(planned) = &analysis.next else {
        return;
    };
    page.heading(2, "7 Which runs should be made next?");
    match planned {
        Ok(plan) => {
            runs(page, plan);
            widths(page, plan);
            power(page, plan);
            doubts(page, plan);
        }
        Err(error) => {
            let hint = error.advice().map_or_else(String::new, |hint| {
                format!(" What to do: {}.", markdown(hint))
            });
            page.paragraph(&format!("{}.{hint}", capital(&markdown(error.message()))));
        }
    }
}

fn runs(page: &mut Page, plan: &NextRuns) {
    page.paragraph(&format!(
        "These {} are chosen to teach most about {}, beside the runs made, within the declared limits, levels and lots; the order is drawn at random, so that a drift falls on no setting alone. Another number of runs is planned by `residuum next --runs N`, which also writes them as lines of the runs log. Check each against local codes, safety data sheets and what the vessel holds before it is made.",
        how_many(plan),
        markdown(&plan.response)
    ));
    page.table(&next_tables::runs(plan));
    if plan.runs.iter().any(|run| run.weighing.is_some()) {
        page.paragraph("The masses give these settings with the middle feed mass of the runs made; they are a suggestion, to be weighed to what the lot and the residue at hand really hold.");
    }
}

fn widths(page: &mut Page, plan: &NextRuns) {
    if plan.widths.is_empty() {
        return;
    }
    let table = next_tables::widths(plan);
    page.heading(3, &table.question);
    page.table(&table);
    page.paragraph("Half the width of the interval, as it is and as it is to be expected when the new runs scatter as those made did.");
}

fn power(page: &mut Page, plan: &NextRuns) {
    if plan.power.is_empty() {
        return;
    }
    let table = next_tables::power(plan);
    page.heading(3, &table.question);
    page.table(&table);
}

fn doubts(page: &mut Page, plan: &NextRuns) {
    let mut items: Vec<String> = plan
        .caveats
        .iter()
        .map(|caveat| {
            format!(
                "{}. What to do: {}.",
                capital(&markdown(&seen(caveat))),
                markdown(&advice(caveat))
            )
        })
        .collect();
    if !plan.still_tangled.is_empty() {
        let terms: Vec<String> = written(&plan.still_tangled)
            .iter()
            .map(|t| markdown(t))
            .collect();
        items.push(format!(
            "Within the limits, levels and lots stated, no run tells apart {}. What to do: put another lot on the shelf, or allow further levels or combinations.",
            and_list(&terms)
        ));
    }
    if !items.is_empty() {
        page.heading(3, "Doubts about the plan");
        page.list(&items);
    }
}
