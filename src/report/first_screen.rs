//! The first screen: the answers, before any table.
//!
//! In: an analysis. Out: one line a question, in plain words, with the figure, its ± and where it stands.
//! This module never answers a question that the log does not answer: it says what would.

use super::answer_words::{status, title};
use super::headlines::headline;
use super::print::{Page, Shown, capital, count, fixed, markdown};
use super::{cautions, effects, given};
use crate::decide::{Effect, ModelOf};
use crate::pipeline::Analysis;

/// Writes the title, the paragraph of answers and one line a question.
pub(super) fn write(page: &mut Page, analysis: &Analysis) {
    let campaign = &analysis.campaign;
    page.heading(1, &markdown(&campaign.title));
    page.paragraph(&cautions::opening(&campaign.hazards));
    let confidence = analysis.confidence();
    page.paragraph(&format!(
        "{} of {} used{}. Intervals are {} %: the figure behind ± is half the width of one.",
        analysis.runs.used(),
        count(analysis.runs.lines, "run"),
        left_out(analysis),
        fixed(100.0 * confidence, 0)
    ));
    page.paragraph(&in_one_paragraph(analysis));
    let lines = analysis.answers.iter().map(|answer| {
        format!(
            "**{}** {} *{}*",
            title(analysis, &answer.question, markdown),
            headline(analysis, answer, markdown),
            status(answer.status)
        )
    });
    page.list(&lines.collect::<Vec<String>>());
}

fn left_out(analysis: &Analysis) -> String {
    match analysis.runs.left_out_lines {
        0 => String::new(),
        n => format!("; {n} left out, [listed at the end](#left-out)"),
    }
}

/// How many findings the first paragraph tells.
const MOST_FINDINGS: usize = 4;

/// The largest findings as running text.
fn in_one_paragraph(analysis: &Analysis) -> String {
    let mut sentences: Vec<String> = Vec::new();
    if let Some(given) = &analysis.findings.given {
        sentences.push(format!(
            "Run by run, contained yield was {}",
            given::words::spread(given, markdown)
        ));
    }
    for moves in analysis
        .findings
        .moves
        .iter()
        .filter(|m| m.kind == ModelOf::Yield)
    {
        let shown = Shown::of(&moves.unit);
        let mut seen: Vec<&Effect> = moves.effects.iter().collect();
        seen.sort_by(|a, b| size(b).total_cmp(&size(a)));
        sentences.extend(
            seen.into_iter()
                .filter_map(|effect| effects::words::sentence(effect, &shown))
                .map(|text| capital(&text))
                .take(MOST_FINDINGS),
        );
    }
    sentences
        .iter()
        .map(|text| format!("{text}. "))
        .collect::<String>()
        .trim_end()
        .to_string()
}

fn size(effect: &Effect) -> f64 {
    effect.estimate.as_ref().map_or(0.0, |e| e.value.abs())
}
