//! What is doubtful about a fit?
//!
//! In: a few figures of the fit. Out: [`Caveat`]s.
//! This module never changes the fit, and never stops it.

use super::words::{all_of, quoted};
use crate::caveat::{About, Caveat};

/// Condition beyond which half of all digits are lost.
const NEARLY_SINGULAR: f64 = 1e8;
/// With fewer, a 95 % interval is over 40 % wider than a well-known scatter would make it (t = 2.776 at 4, against 1.960).
const FEW_DEGREES_OF_FREEDOM: usize = 5;

/// The figures that raise doubts.
pub(crate) struct Figures<'a> {
    pub response: &'a str,
    pub values: &'a [f64],
    pub blocks: &'a [String],
    pub condition: f64,
    pub residual_df: usize,
    pub perfect: bool,
}

/// The doubts that these figures raise.
pub(crate) fn caveats(figures: &Figures) -> Vec<Caveat> {
    let caveat = |kind: &'static str, seen: String, advice: &str| Caveat {
        kind,
        about: About::Model(figures.response.to_string()),
        seen,
        advice: advice.to_string(),
    };
    let mut found = Vec::new();
    let constant = figures.values.windows(2).all(|pair| pair[0] == pair[1]);
    if constant {
        let runs = figures.values.len();
        found.push(caveat(
            "constant response",
            format!(
                "all {runs} runs have the same response: {}",
                figures.values[0]
            ),
            "check the log; a response that never changes says nothing about what moves it",
        ));
    }
    if figures.condition > NEARLY_SINGULAR {
        found.push(caveat(
            "nearly tangled terms",
            format!(
                "some terms changed almost only together: condition {:.1e}",
                figures.condition
            ),
            "leave one of them out, or make runs that change them separately",
        ));
    }
    if figures.residual_df < FEW_DEGREES_OF_FREEDOM {
        found.push(caveat(
            "few degrees of freedom",
            format!("residual degrees of freedom: {}", figures.residual_df),
            "make more runs or ask for fewer terms; intervals are wide or missing until then",
        ));
    }
    if figures.perfect && figures.residual_df > 0 && !constant {
        found.push(caveat(
            "perfect fit",
            format!(
                "all residuals are rounding, with {} degrees of freedom",
                figures.residual_df
            ),
            "check whether the response was computed from the factors; no chances are given",
        ));
    }
    if !figures.blocks.is_empty() {
        let names: Vec<String> = figures.blocks.iter().map(|name| quoted(name)).collect();
        found.push(caveat(
            "blocks in a plain fit",
            format!("the plain fit counts errors shared within {} as run-to-run scatter", all_of(&names)),
            "read the intervals with care: they may be too narrow for what differs between blocks and too wide for what differs within them",
        ));
    }
    found
}
