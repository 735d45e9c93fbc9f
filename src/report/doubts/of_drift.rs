//! Doubts about control charts, in words.
//!
//! In: the response and what the doubt is about. Out: [`Words`].
//! This module never escapes a name.

use super::Words;
use crate::caveat::NoLimits;
use crate::report::reasons::no_limits;

/// What to do where limits cannot be estimated, or not as well as they should be.
const MORE_RUNS: &str =
    "make more runs, or state `centre` and `sd` under `[drift]` from earlier work";

pub(super) fn left_in(response: &str, terms: &[String]) -> Words {
    Words::new(
        format!(
            "{} of {response} cannot be told apart from something else, so the control charts do not take it out",
            terms.join(", ")
        ),
        "a flag at such a run may be that effect; make the runs that would tell it apart",
    )
}

pub(super) fn as_logged(response: &str, fault: &str) -> Words {
    Words::new(
        format!("{response} is charted as logged, because {fault}"),
        "effects of the declared factors may flag as drift; give the model what it needs",
    )
}

pub(super) fn not_charted(response: &str, reason: NoLimits) -> Words {
    Words::new(
        format!("{response} has no control chart: {}", no_limits(reason)),
        MORE_RUNS,
    )
}

pub(super) fn short(response: &str, asked: usize, runs: usize) -> Words {
    Words::new(
        format!(
            "limits of {response} should come from the first {asked} runs, but there are only {runs}, and a drift among them widens its own limits"
        ),
        MORE_RUNS,
    )
}
