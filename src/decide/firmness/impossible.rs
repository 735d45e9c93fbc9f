//! Findings that cannot be: more than there is, or more than was seen.
//!
//! In: findings and runs. Out: the first [`Impossible`] of a claim.
//! This module never corrects an entry: it says which is likely.

use super::claims::Claim;
use crate::caveat::{Likely, ResultOf};
use crate::decide::evidence::Material;
use crate::decide::findings::Findings;

/// An effect larger than so many times the range of all responses is extrapolated, whatever its interval.
const TIMES_THE_RANGE: f64 = 1.5;

/// What cannot be.
#[derive(Debug, Clone, PartialEq)]
pub enum Impossible {
    /// Residue gives more product than it holds.
    MoreThanResidueHolds {
        /// Extra product of a charged run \[g\].
        extra: f64,
        /// What its residue can give \[g\].
        holds: f64,
    },
    /// More product than the charge can give.
    ConversionAboveOne {
        /// Conversion of the charged run \[fraction\].
        conversion: f64,
    },
    /// A result is off in all runs alike.
    OffInAllRuns {
        /// The result.
        what: ResultOf,
        /// Its middle \[fraction\].
        middle: f64,
        /// The likely cause.
        likely: Option<Box<Likely>>,
    },
    /// A factor lies outside its declared range in the middle of all runs.
    OutsideItsRange {
        /// The factor.
        factor: String,
    },
    /// An effect larger than all responses together differ.
    EffectBeyondRange {
        /// Its size, in the unit of the response.
        effect: f64,
        /// Range of all responses.
        range: f64,
    },
}

/// What cannot be about a claim.
pub(super) fn impossible(
    material: &Material,
    findings: &Findings,
    claim: Claim,
) -> Option<Impossible> {
    let of_effect = || {
        let Claim::Effect { model, effect } = claim else {
            return None;
        };
        let moves = &findings.moves[model];
        let estimate = moves.effects[effect].estimate.as_ref().ok()?;
        let column = material.runs.response(&moves.response)?;
        let values = column.values.iter().flatten();
        let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(*value), high.max(*value))
        });
        let (effect, range) = (estimate.value, high - low);
        let beyond = effect.abs() > TIMES_THE_RANGE * range;
        beyond.then_some(Impossible::EffectBeyondRange { effect, range })
    };
    let of_residue = || {
        let recycling = findings.recycling.as_ref().ok()?;
        let conversion = recycling.conversion.low;
        if recycling.beyond_content.low > 0.0 {
            let extra = recycling.extra_product.value;
            let holds = extra - recycling.beyond_content.value;
            return Some(Impossible::MoreThanResidueHolds { extra, holds });
        }
        (conversion > 1.0).then_some(Impossible::ConversionAboveOne { conversion })
    };
    of_effect().or_else(|| (claim == Claim::Residue).then(of_residue).flatten())
}
