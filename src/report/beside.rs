//! Pictures, doubts and gaps that stand beside an answer.
//!
//! In: a picture, caveats, what is missing. Out: the same on a page, or as lines of a terminal.
//! This module never decides which of them concern an answer.

use super::doubts::{advice, seen};
use super::print::{Naming, Page, Pictures, Width, capital, markdown, one_line, wrapped};
use super::reasons;
use crate::caveat::Caveat;
use crate::decide::Gap;

/// A picture by its name, where it was drawn.
pub(super) fn picture(page: &mut Page, pictures: &Pictures, name: &str) {
    if let Some(picture) = pictures.named(name) {
        page.picture(
            &picture.file,
            &markdown(&picture.question),
            &markdown(&picture.caption),
        );
    }
}

/// Doubts about some results, each beside what it touches.
pub(super) fn doubts(page: &mut Page, caveats: &[&Caveat]) {
    if caveats.is_empty() {
        return;
    }
    page.heading(3, "Doubts");
    let items: Vec<String> = caveats.iter().map(|caveat| doubt(caveat)).collect();
    page.list(&items);
}

/// One doubt with what to do about it, on a page.
pub(super) fn doubt(caveat: &Caveat) -> String {
    format!(
        "{}. What to do: {}.",
        capital(&markdown(&seen(caveat))),
        markdown(&advice(caveat))
    )
}

/// Doubts, one line each.
pub fn caveats(caveats: &[Caveat]) -> String {
    caveats
        .iter()
        .map(|caveat| {
            format!(
                "doubt: {}\n  hint: {}\n",
                one_line(&seen(caveat)),
                one_line(&advice(caveat))
            )
        })
        .collect()
}

/// What is missing, with what is answered all the same.
pub(super) fn missing(gap: &Gap, naming: Naming) -> String {
    let [missing, still] = [reasons::missing(gap), reasons::still(gap)].map(|text| naming(&text));
    format!("{}: {still}", capital(&missing))
}

/// All that is missing, each by itself.
pub(super) fn all_missing(gaps: &[Gap], naming: Naming) -> Vec<String> {
    gaps.iter().map(|gap| missing(gap, naming)).collect()
}

/// The same below its heading, at the end of the section of a question.
pub(super) fn gaps(page: &mut Page, question: u8, gaps: &[Gap]) {
    if !gaps.is_empty() {
        page.heading(3, &format!("What is missing for question {question}"));
        page.list(&all_missing(gaps, markdown));
    }
}

/// The same on a terminal; nothing where nothing is missing.
pub(super) fn missing_lines(gaps: &[Gap], width: Width) -> String {
    let lines = all_missing(gaps, one_line);
    if lines.is_empty() {
        return String::new();
    }
    let lines: String = lines.iter().map(|line| format!("  {line}\n")).collect();
    wrapped(&format!("\nmissing:\n{lines}"), width)
}
