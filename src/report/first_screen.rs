//! The first screen: the answers, before any table.
//!
//! In: an analysis. Out: one line a question, in plain words, with the figure, its ± and where it stands.
//! This module never answers a question that the log does not answer: it says what would.

use super::answer_words::{status, title};
use super::headlines::headline;
use super::print::{Page, Shown, capital, count, joined, markdown, percent};
use super::{cautions, effects, yields};
use crate::answers::{Answer, Question};
use crate::decide::{Claim, Effect, FEWEST_DEGREES, ModelOf};
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
