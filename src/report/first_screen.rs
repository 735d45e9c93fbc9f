//! The first screen: the answers, before any table.
//!
//! In: an analysis. Out: one line a question, in plain words, with the figure, its ± and where it stands.
//! This module never answers a question that the log does not answer: it says what would.

use super::answer_words::{status, title};
use super::headlines::headline;
use super::print::{Page, Shown, capital, count, joined, markdown, percent};
use super::{cautions, effects, yields};
use crate::decide::{Effect, ModelOf};
use crate::pipeline::Analysis;

/// Writes the title, the paragraph of answers and one line a question.
pub(super) fn write(page: &mut Page, analysis: &Analysis) {
    let campaign = &analysis.campaign;
    page.heading(1, &campaign.title);
    page.marked(&cautions::opening(&campaign.hazards));
    let left_out = match analysis.runs.left_out_lines {
        0 => String::new(),
        n => format!("; {n} left out, [listed at the end](#left-out)"),
    };
    page.marked(&format!(
        "{} of {} used{left_out}. Intervals are {}: the figure behind ± is half the width of one.",
        analysis.runs.used(),
        count(analysis.runs.lines, "run"),
        percent(analysis.confidence(), 0)
    ));
    page.paragraph(&in_one_paragraph(analysis));
    page.marked_list(analysis.answers.iter().map(|answer| {
        let title = title(analysis, &answer.question, markdown);
        let headline = headline(analysis, answer, markdown);
        format!("**{title}** {headline} *{}*", status(answer.status))
    }));
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
    let of_yield = findings
        .moves
        .iter()
        .filter(|moves| moves.kind == ModelOf::Yield);
    let effects = of_yield.flat_map(|moves| {
        let shown = Shown::of(&moves.unit);
        let mut seen: Vec<&Effect> = moves.effects.iter().collect();
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
