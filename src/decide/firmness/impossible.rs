//! Findings that cannot be: more than there is, or more than was seen.
//!
//! In: findings and runs. Out: the first [`Impossible`] of a claim.
//! This module never corrects an entry: it says which is likely.

use super::claims::Claim;
use crate::decide::evidence::Material;
use crate::decide::findings::Findings;
use crate::decide::models::ModelOf;
use crate::distributions::middle;

/// A purity this many times off the specification in all runs is no purity: a factor of the titration is wrong.
const FAR_FROM_SPECIFICATION: [f64; 2] = [0.9, 1.02];
/// An effect larger than so many times the range of all responses is extrapolated, whatever its interval.
const TIMES_THE_RANGE: f64 = 1.5;

/// What cannot be.
#[derive(Debug, Clone, Copy, PartialEq)]
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
    /// The purity of all runs is far from the specification.
    PurityFarFromSpecification {
        /// Middle purity [mass fraction].
        purity: f64,
        /// Specification [mass fraction].
        specification: f64,
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
    of_effect()
        .or_else(|| (claim == Claim::Residue).then(of_residue).flatten())
        .or_else(|| {
            let counts_purity = match claim {
                // Yields count pure product, so that all are off by as much; what differs between runs is not.
                Claim::Effect { model, .. } => findings.moves[model].kind == ModelOf::Purity,
                Claim::Route | Claim::Residue | Claim::Settings => true,
            };
            far_from_specification(material).filter(|_| counts_purity)
        })
}

/// Purities of all runs that no specification of this product could be missed by.
pub(super) fn far_from_specification(material: &Material) -> Option<Impossible> {
    let specification = material.campaign.purity_spec?;
    let runs = material.runs.counted();
    let purities = runs.filter_map(|run| Some(run.purity.as_ref().ok()?.value()));
    let purities: Vec<f64> = purities.collect();
    let [low, high] = FAR_FROM_SPECIFICATION.map(|times| times * specification);
    let all = |is_off: &dyn Fn(f64) -> bool| purities.iter().all(|purity| is_off(*purity));
    let is_far = all(&|purity| purity < low) || all(&|purity| purity > high);
    let purity = middle(purities.clone())?;
    is_far.then_some(Impossible::PurityFarFromSpecification {
        purity,
        specification,
    })
}
