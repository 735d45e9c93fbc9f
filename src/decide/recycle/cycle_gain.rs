//! The gain of one cycle of a loop.
//!
//! In: the reference charge moved to the ratio and the content of the cycle. Out: [`CycleGain`].
//! This module never decides what is charged.

use super::answer::Untold;
use super::gain::{Figure, Figures, gain};
use super::inputs::{Inputs, stated};
use super::meeting_specification;
use super::reference_charge::Case;
use super::solids::Waiting;
use crate::measured::Measured;
use crate::regression::{FittedModel, Settings};

/// The gain of one cycle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CycleGain {
    /// Best estimate \[currency\].
    pub value: f64,
    /// Half the width of its interval \[currency\]; the shares that stay on the filter count as exact.
    pub half_width: f64,
}

/// The reference charge with what a cycle is charged with.
pub(super) fn at<'a>(case: &Case<'a>, ratio: f64, waiting: Waiting) -> Case<'a> {
    let mass = ratio * case.reference.feed_mass;
    let content = if mass > 0.0 {
        waiting.element / mass
    } else {
        0.0
    };
    // The error of the residue's content is that of the residue charged so far, in proportion.
    let known = &case.reference.residue_content;
    let scaled = if known.value() > 0.0 {
        known.clone() * (content / known.value())
    } else {
        Measured::exact(content)
    };
    case.at_ratio(ratio, scaled)
}

/// The gain of a cycle at the best estimates \[currency\].
///
/// # Errors
/// Why the models cannot tell it.
pub(super) fn plain_gain(case: &Case, ratio: f64, waiting: Waiting) -> Result<f64, Untold> {
    if ratio <= 0.0 {
        return Ok(0.0);
    }
    let case = at(case, ratio, waiting);
    Ok(gain(&best(&case)?, &case.reference.charged).total())
}

/// The figures of a charge at their best estimates.
///
/// # Errors
/// Why the models cannot tell them.
pub(super) fn best(case: &Case) -> Result<Figures, Untold> {
    let reference = &case.reference;
    let mean = |model: &FittedModel, at: &Settings| {
        let estimate = model.estimate(at).map_err(Untold::Refused);
        estimate.map(|estimate| estimate.value)
    };
    let pair = |model: &Option<FittedModel>| -> Result<[f64; 2], Untold> {
        let Some(model) = model else {
            return Ok([0.0, 0.0]);
        };
        let without = mean(model, &reference.without)?;
        Ok([without, mean(model, &reference.with)? - without])
    };
    let side = &case.material.models.side;
    let yields = [
        mean(case.yields, &reference.with)?,
        mean(case.yields, &reference.without)?,
    ];
    let (reagents, out) = (pair(&side.reagents)?, pair(&side.residue_out)?);
    let worth = meeting_specification::chances(case).unwrap_or([1.0, 1.0]);
    Ok(Figures::from(|figure| match figure {
        Figure::YieldWith => yields[0],
        Figure::YieldWithout => yields[1],
        Figure::ReagentsWithout => reagents[0],
        Figure::ReagentsExtra => reagents[1],
        Figure::ResidueOutWithout => out[0],
        Figure::ResidueOutExtra => out[1],
        Figure::WorthWith => worth[0],
        Figure::WorthWithout => worth[1],
        other => stated(case, other).value(),
    }))
}

/// The gain of a cycle with half the width of its interval, by propagation as for [`Inputs::amount`].
///
/// # Errors
/// Why the models cannot tell it.
pub(super) fn uncertain_gain(
    case: &Case,
    ratio: f64,
    waiting: Waiting,
) -> Result<CycleGain, Untold> {
    if ratio <= 0.0 {
        return Ok(CycleGain {
            value: 0.0,
            half_width: 0.0,
        });
    }
    let case = at(case, ratio, waiting);
    let inputs = Inputs::of(&case, meeting_specification::counted(&case).as_ref())?;
    Ok(CycleGain {
        value: inputs.gain(&inputs.best),
        half_width: inputs.half_width(&inputs.best, &[]),
    })
}
