//! Doubts and gaps that stand beside an answer.
//!
//! In: caveats, faults, what is missing. Out: the same on a page, or as lines of a terminal.
//! This module never decides which of them concern an answer.

use super::doubts::{advice, seen};
use super::print::{Page, Screen, around, capital, one_line};
use super::reasons;
use crate::caveat::Caveat;
use crate::decide::Gap;
use crate::error::Error;

/// Doubts about some results below their heading, each with what to do about it.
pub(super) fn doubts<'a>(page: &mut Page, caveats: impl IntoIterator<Item = &'a Caveat>) {
    let items: Vec<String> = caveats.into_iter().map(doubt).collect();
    if !items.is_empty() {
        page.heading(3, "Doubts");
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
    let line = |caveat: &Caveat| {
        let [seen, advice] = [seen(caveat), advice(caveat)].map(|text| one_line(&text));
        format!("doubt: {seen}\n  hint: {advice}\n")
    };
    caveats.iter().map(line).collect()
}

/// One fault for a terminal, what to do about it apart; a name in it ends no line.
pub fn fault(error: &Error) -> String {
    let hint = error.advice().map(one_line).unwrap_or_default();
    one_line(error.message()) + &around("\n\nhint: ", &hint, "")
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
