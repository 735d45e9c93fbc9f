//! The first screen: the answers, before any table.
//!
//! In: an analysis. Out: one line a question, in plain words, with the figure, its ± and where it stands.
//! This module never answers a question that the log does not answer: it says what would.

use super::answer_words::{status, title};
use super::doubts::seen;
use super::headlines::headline;
use super::print::{Page, Shown, around, capital, count, joined, markdown, percent};
use super::{cautions, effects, yields};
use crate::answers::{Answer, Question};
use crate::caveat::{About, Caveat, Doubt, Weight};
use crate::decide::{Claim, Effect, FEWEST_DEGREES, ModelOf};
use crate::pipeline::Analysis;
use crate::runs::Runs;

/// Writes the title, the paragraph of answers and one line a question.
pub(super) fn write(page: &mut Page, analysis: &Analysis) {
    let campaign = &analysis.campaign;
    page.heading(1, &campaign.title);
    page.marked(&cautions::opening(&campaign.hazards));
    page.marked(&format!(
        "{} of {} used{}{}. Intervals are {}: the figure behind ± is half the width of one.",
        analysis.runs.used(),
        count(analysis.runs.named(), "run"),
        planned(&analysis.runs),
        left_out(&analysis.runs),
        percent(analysis.confidence(), 0)
    ));
    page.marked(&around(
        "**Check first:** ",
        &markdown(&to_check(analysis)),
        "",
    ));
    let small = little_to_go_on(analysis);
    page.marked(&small.clone().unwrap_or_default());
    page.paragraph(&in_one_paragraph(analysis));
    let mut answers: Vec<&Answer> = analysis.answers.iter().collect();
    // With little to go on, the runs to make come first.
    answers.sort_by_key(|answer| small.is_some() && answer.question != Question::Next);
    page.marked_list(answers.into_iter().map(|answer| {
        let title = title(analysis, &answer.question, markdown);
        let headline = headline(analysis, answer, markdown);
        format!("**{title}** {headline} *{}*", status(answer.status))
    }));
}

/// Runs and entries that the first screen names; the rest stands at the end.
const MOST_NAMED: usize = 4;

/// How many runs are planned in the log.
fn planned(runs: &Runs) -> String {
    match (runs.planned.len(), runs.plans_are_sure) {
        (0, _) => String::new(),
        (planned, true) => format!("; {planned} planned, [listed at the end](#planned-in-the-log)"),
        (planned, false) => format!(
            "; {planned} planned, or without a result in the log, [listed at the end](#planned-in-the-log)"
        ),
    }
}

/// Which runs were left out, and why the first ones.
fn left_out(runs: &Runs) -> String {
    let mut named: Vec<(&str, &str)> = Vec::new();
    for entry in &runs.left_out {
        if let Some(run) = entry.run.as_deref()
            && !named.iter().any(|(known, _)| *known == run)
        {
            named.push((run, entry.error.message()));
        }
    }
    if runs.left_out_lines == 0 {
        return String::new();
    }
    let told = named.iter().take(MOST_NAMED);
    let told = told.map(|(run, why)| markdown(&format!("{run} ({why})")));
    let more = match named.len().saturating_sub(MOST_NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    format!(
        "; left out, [listed at the end](#left-out): {}{more}",
        joined(told, ", ")
    )
}

/// The entries to look at before anything is believed: those that cannot be right first, then those that hardly are, and balances
/// that do not close.
fn to_check(analysis: &Analysis) -> String {
    let weight = |caveat: &&Caveat| match &caveat.doubt {
        Doubt::Entry(slip) if !slip.accepted => slip.weight,
        Doubt::AllOff { .. } => Weight::Impossible,
        Doubt::ClosureAboveOne { .. } | Doubt::ClosureBelowOthers { .. } => Weight::Unlikely,
        _ => Weight::Odd,
    };
    let is_aside = |caveat: &Caveat| {
        let mut runs = analysis.runs.results.iter();
        runs.any(|run| run.set_aside.is_some() && caveat.about == About::Run(run.run.clone()))
    };
    let mut found: Vec<&Caveat> = analysis.caveats.iter().collect();
    found.retain(|caveat| weight(caveat) > Weight::Odd && !is_aside(caveat));
    found.sort_by_key(|caveat| std::cmp::Reverse(weight(caveat)));
    let told = found.iter().take(MOST_NAMED).map(|caveat| seen(caveat));
    let more = match found.len().saturating_sub(MOST_NAMED) {
        0 => String::new(),
        more => format!("; and {more} more under the doubts of each question"),
    };
    let what = around("", &joined(told, "; "), &more);
    around("", &what, ".")
}

/// How little a small log is, and what that means for every answer; `None` where it is large enough.
fn little_to_go_on(analysis: &Analysis) -> Option<String> {
    let models = analysis.models.models();
    let smallest = models.min_by_key(|model| model.residual_df)?;
    let (runs, terms, left) = (smallest.runs.len(), smallest.rank, smallest.residual_df);
    (left < FEWEST_DEGREES).then(|| {
        let scatter = match left {
            0 => "nothing is left to tell the scatter by".to_string(),
            1 => "only 1 is left to tell the scatter by".to_string(),
            left => format!("only {left} are left to tell the scatter by"),
        };
        format!(
            "**Little to go on:** of {} {terms} go into the terms of the model and {scatter}; a drift cannot be allowed for, and one wrong entry can turn an answer. Make the runs of question 7 before anything is decided.",
            count(runs, "run")
        )
    })
}

/// How many findings the first paragraph tells.
const MOST_FINDINGS: usize = 4;

/// The largest findings as running text.
fn in_one_paragraph(analysis: &Analysis) -> String {
    let findings = &analysis.findings;
    let given = findings.given.as_ref().map(|given| {
        let spread = yields::words::spread(given);
        format!("Run by run, contained yield was {spread}.")
    });
    let numbered = findings.moves.iter().enumerate();
    let of_yield = numbered.filter(|(_, moves)| moves.kind == ModelOf::Yield);
    let effects = of_yield.flat_map(|(model, moves)| {
        let shown = Shown::of(&moves.unit);
        // What is shaken is no finding.
        let firm = moves.effects.iter().enumerate().filter(|(effect, _)| {
            let claim = Claim::Effect {
                model,
                effect: *effect,
            };
            analysis.firmness.shaken(claim).is_none()
        });
        let mut seen: Vec<&Effect> = firm.map(|(_, effect)| effect).collect();
        seen.sort_by(|a, b| size(b).total_cmp(&size(a)));
        let told = seen.into_iter();
        let told = told.filter_map(move |effect| effects::words::sentence(effect, &shown));
        told.map(|text| format!("{}.", capital(&text)))
            .take(MOST_FINDINGS)
    });
    joined(given.into_iter().chain(effects), " ")
}

fn size(effect: &Effect) -> f64 {
    effect.estimate.as_ref().map_or(0.0, |e| e.value.abs())
}
