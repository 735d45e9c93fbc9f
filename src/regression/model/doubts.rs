//! Doubts about a fit that a few of its figures raise.
//!
//! In: the responses and figures of the fit. Out: [`Doubt`]s.
//! This module never changes the fit, and never stops it.

use crate::caveat::Doubt;
use crate::regression::asked::{Method, ModelParams};
use crate::regression::design::Basis;

/// Condition beyond which half of all digits are lost.
const NEARLY_SINGULAR: f64 = 1e8;
/// With fewer, a 95 % interval is over 40 % wider than a well-known scatter would make it (t = 2.776 at 4, against 1.960).
const FEW_DEGREES_OF_FREEDOM: usize = 5;

/// The doubts about a fit on this basis.
pub(crate) fn doubts(
    responses: &[f64],
    params: &ModelParams,
    basis: &Basis,
    residual_df: usize,
    perfect: bool,
) -> Vec<Doubt> {
    let mut found = Vec::new();
    let constant = responses.windows(2).all(|pair| pair[0] == pair[1]);
    if constant {
        found.push(Doubt::ConstantResponse {
            runs: responses.len(),
            value: responses[0],
        });
    }
    if basis.condition > NEARLY_SINGULAR {
        found.push(Doubt::NearlyTangledTerms {
            condition: basis.condition,
        });
    }
    if residual_df < FEW_DEGREES_OF_FREEDOM {
        found.push(Doubt::FewDegreesOfFreedom { residual_df });
    }
    if perfect && residual_df > 0 && !constant {
        found.push(Doubt::PerfectFit { residual_df });
    }
    if params.method == Method::Plain && !params.blocks.is_empty() {
        found.push(Doubt::BlocksInPlainFit {
            blocks: params.blocks.clone(),
        });
    }
    found
}
