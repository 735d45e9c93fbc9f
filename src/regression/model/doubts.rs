//! What is doubtful about a fit?
//!
//! In: a few figures of the fit. Out: [`Caveat`]s.
//! This module never changes the fit, and never stops it.

use crate::caveat::{Caveat, Doubt};

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

/// The doubts that these figures raise.
pub(crate) fn caveats(figures: &Figures) -> Vec<Caveat> {
    let mut found = Vec::new();
    let constant = figures.values.windows(2).all(|pair| pair[0] == pair[1]);
    if constant {
        found.push(Doubt::ConstantResponse {
            runs: figures.values.len(),
            value: figures.values[0],
        });
    }
    let residual_df = figures.residual_df;
    if figures.condition > NEARLY_SINGULAR {
        found.push(Doubt::NearlyTangledTerms {
            condition: figures.condition,
        });
    }
    if residual_df < FEW_DEGREES_OF_FREEDOM {
        found.push(Doubt::FewDegreesOfFreedom { residual_df });
    }
    if figures.perfect && residual_df > 0 && !constant {
        found.push(Doubt::PerfectFit { residual_df });
    }
    if !figures.blocks.is_empty() {
        found.push(Doubt::BlocksInPlainFit {
            blocks: figures.blocks.to_vec(),
        });
    }
    let all = found.into_iter().chain(figures.besides.iter().cloned());
    all.map(|doubt| Caveat::of_response(figures.response, doubt))
        .collect()
}
