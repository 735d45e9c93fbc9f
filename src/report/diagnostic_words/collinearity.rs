//! What is said of terms that changed together?
//!
//! In: names of terms. Out: sentences.
//! This module never decides which terms hang together.

use super::{all_quoted, quoted};
use crate::report::print::words::and_list;

pub(super) const NONE_BLURRED: &str = "every term changed independently enough of the others";
pub(super) const NONE_TOGETHER: &str = "no terms hang together";

pub(super) fn badly_blurred(term: &str) -> String {
    format!(
        "{} is known far less well than so many runs could tell it: it changed along with other terms; make runs that change it alone",
        quoted(term)
    )
}

pub(super) fn blurred(term: &str) -> String {
    format!(
        "{} is known noticeably less well than it could be, for it changed along with other terms",
        quoted(term)
    )
}

pub(super) fn strongly_together(terms: &[String]) -> String {
    format!(
        "{} hang together strongly: their single values mean little, sums and differences of them may still be well known",
        which(terms)
    )
}

pub(super) fn together(terms: &[String]) -> String {
    format!(
        "{} hang together noticeably, which widens their intervals",
        which(terms)
    )
}

/// The terms of a relation; one alone hangs together with nothing, so that the others are too many to name.
fn which(terms: &[String]) -> String {
    match terms {
        [] | [_] => "several terms".into(),
        _ => and_list(&all_quoted(terms)),
    }
}
