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
    /// What the fit itself found doubtful.
    pub besides: Vec<Doubt>,
}

/// A doubt that does not yet say what it is about.
#[derive(Debug, Clone)]
pub(crate) struct Doubt {
    pub kind: &'static str,
    pub seen: String,
    pub advice: &'static str,
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
    found.extend(
        figures
            .besides
            .iter()
            .map(|doubt| caveat(doubt.kind, doubt.seen.clone(), doubt.advice)),
    );
    found
}

/// The run-to-run variance is estimated as zero.
pub(crate) fn no_scatter() -> Doubt {
    Doubt {
        kind: "no scatter from run to run",
        seen: "the errors of the measurement alone explain all scatter: that from run to run is estimated as 0".into(),
        advice: "check whether the stated uncertainties are too large; the intervals rest on them alone",
    }
}

/// The variance of a block is estimated as zero.
pub(crate) fn no_spread(block: &str) -> Doubt {
    Doubt {
        kind: "no spread between blocks",
        seen: format!(
            "runs at the same {0} are no more alike than others: the spread between levels of {0} is estimated as 0",
            quoted(block)
        ),
        advice: "nothing needs to be done; with few levels a spread can be there and not show",
    }
}

/// The runs cannot tell the variance of a block.
pub(crate) fn unknown_spread(block: &str) -> Doubt {
    Doubt {
        kind: "unknown spread between blocks",
        seen: format!(
            "these runs cannot tell how much levels of {} differ at random; the fit counts none of it",
            quoted(block)
        ),
        advice: "make several runs at each of several levels, or leave it out of `blocks`",
    }
}

/// Values or variances still moved when the fit was stopped.
pub(crate) fn unsettled(moved: f64) -> Doubt {
    Doubt {
        kind: "fit not settled",
        seen: format!("the last round of the fit still moved by {moved:.1e} standard errors"),
        advice: "check the stated uncertainties: errors nearly as large as the values themselves have no stable fit",
    }
}
