//! Doubts and gaps that stand beside an answer.
//!
//! In: caveats, faults, what is missing. Out: the same on a page, or as lines of a terminal.
//! This module never decides which of them concern an answer.

use super::causes;
use super::doubts::{advice, seen};
use super::print::{Page, Screen, around, capital, one_line};
use super::reasons;
use crate::caveat::Caveat;
use crate::decide::Gap;
use crate::error::Error;

/// The heading of the doubts about an answer, by its key.
pub(super) fn about(answer: &str) -> String {
    format!("Doubts about answer {answer}")
}

/// Doubts about an answer below their heading, each with what to do about it.
pub(super) fn doubts<'a>(
    page: &mut Page,
    answer: &str,
    caveats: impl IntoIterator<Item = &'a Caveat>,
) {
    let items: Vec<String> = caveats.into_iter().map(doubt).collect();
    if !items.is_empty() {
        page.heading(3, &about(answer));
        page.list(items);
    }
}

/// One doubt with what to do about it.
pub(super) fn doubt(caveat: &Caveat) -> String {
    let seen = capital(&seen(caveat));
    format!("{seen}. What to do: {}.", advice(caveat))
}

/// Doubts for a terminal, one line each.
pub fn caveats(caveats: &[Caveat]) -> String {
    let lines = caveats.iter();
    lines
        .map(|caveat| doubt_line(&seen(caveat), caveat))
        .collect()
}

/// The same by their kind: the first in full, and the runs of which it holds likewise.
pub fn caveats_by_kind(caveats: &[Caveat]) -> String {
    let kinds = causes::of_doubts(caveats).into_iter();
    kinds
        .map(|kind| {
            let caveats = kind.of(caveats);
            doubt_line(&causes::doubt(&caveats), caveats[0])
        })
        .collect()
}

fn doubt_line(seen: &str, caveat: &Caveat) -> String {
    let [seen, advice] = [seen, &advice(caveat)].map(one_line);
    format!("doubt: {seen}\n  hint: {advice}\n")
}

/// Faults for a terminal, those of one cause together, what to do about it apart; a name in one ends no line.
pub fn faults(errors: &[Error]) -> Vec<String> {
    let causes = causes::of_faults(errors).into_iter();
    causes
        .map(|cause| {
            let errors = cause.of(errors);
            let hint = causes::hint(&errors).map(one_line).unwrap_or_default();
            one_line(&causes::message(&errors)) + &around("\n\nhint: ", &hint, "")
        })
        .collect()
}

/// What is missing, with what is answered all the same.
pub(super) fn missing(gap: &Gap) -> String {
    let missing = capital(&reasons::missing(gap));
    format!("{missing}: {}", reasons::still(gap))
}

/// All that is missing, at the end of the section of a question.
pub(super) fn gaps(page: &mut Page, question: u8, gaps: &[Gap]) {
    if !gaps.is_empty() {
        page.heading(3, &format!("What is missing for question {question}"));
        page.list(gaps.iter().map(missing));
    }
}

/// The same on a terminal.
pub(super) fn gaps_below(screen: &mut Screen, gaps: &[Gap]) {
    if !gaps.is_empty() {
        screen.gap();
        screen.line("missing:");
    }
    for gap in gaps {
        screen.line(&format!("  {}", missing(gap)));
    }
}
