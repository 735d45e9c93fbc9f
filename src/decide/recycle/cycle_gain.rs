//! What does one cycle of a loop gain?
//!
//! In: the reference charge moved to the ratio and the content of the cycle. Out: [`CycleGain`].
//! This module never decides what is charged.

use super::cycles::{Material, Waiting};
use super::gain::{Figure, gain};
use super::inputs::{Inputs, Untold, gradient};
use super::reference::Reference;
use super::worth;
use crate::measured::Measured;
use crate::regression::FittedModel;

/// The gain of one cycle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CycleGain {
    /// Best estimate [currency].
    pub value: f64,
    /// Half the width of its interval [currency]; the shares that stay on the filter count as exact.
    pub half_width: f64,
}

fn at(material: &Material, ratio: f64, waiting: Waiting) -> Reference {
    let mass = ratio * material.reference.feed_mass;
    let content = if mass > 0.0 {
        waiting.element / mass
    } else {
        0.0
    };
    // The error of the residue's content is that of the residue charged so far, in proportion.
    let known = &material.reference.residue_content;
    let scaled = if known.value() > 0.0 {
        known.clone() * (content / known.value())
    } else {
        Measured::exact(content)
    };
    material.reference.at_ratio(ratio, scaled)
}

/// The gain of a cycle at the best estimates.
pub(super) fn plain_gain(material: &Material, ratio: f64, waiting: Waiting) -> Result<f64, Untold> {
    if ratio <= 0.0 {
        return Ok(0.0);
    }
    let reference = at(material, ratio, waiting);
    let inputs = BestInputs::of(material, &reference)?;
    Ok(gain(&inputs.0, &reference.charged).total())
}

/// The figures of a charge without their errors.
struct BestInputs(super::gain::Figures);

impl BestInputs {
    fn of(material: &Material, reference: &Reference) -> Result<Self, Untold> {
        let mean = |model: &FittedModel, charged: bool| {
            let settings = if charged {
                &reference.with
            } else {
                &reference.without
            };
            model
                .estimate(settings)
                .map(|estimate| estimate.value)
                .map_err(Untold::Refused)
        };
        let figures = Inputs::prices(material.question.costs, material.models, reference);
        let models = material.models;
        let mut best = super::gain::Figures::from(|figure| figures(figure).value())
            .with(Figure::YieldWith, mean(models.yields, true)?)
            .with(Figure::YieldWithout, mean(models.yields, false)?);
        if let Some(model) = models.reagents {
            let without = mean(model, false)?;
            best = best
                .with(Figure::ReagentsWithout, without)
                .with(Figure::ReagentsExtra, mean(model, true)? - without);
        }
        if let Some(model) = models.residue_out {
            let without = mean(model, false)?;
            best = best
                .with(Figure::ResidueOutWithout, without)
                .with(Figure::ResidueOutExtra, mean(model, true)? - without);
        }
        if let Some([with, without]) = worth::chances(material.question, reference) {
            best = best
                .with(Figure::WorthWith, with)
                .with(Figure::WorthWithout, without);
        }
        Ok(Self(best))
    }
}

/// The gain of a cycle with half the width of its interval.
pub(super) fn uncertain_gain(
    material: &Material,
    ratio: f64,
    waiting: Waiting,
) -> Result<CycleGain, Untold> {
    if ratio <= 0.0 {
        return Ok(CycleGain {
            value: 0.0,
            half_width: 0.0,
        });
    }
    let reference = at(material, ratio, waiting);
    let inputs = Inputs::of(
        material.question.runs,
        material.question.costs,
        material.models,
        &reference,
    )?;
    let inputs = match worth::counted(material.question, &reference) {
        Some(worth) => inputs.worth(&worth),
        None => inputs,
    };
    let of = |figures: &super::gain::Figures| gain(figures, &reference.charged).total();
    let best = inputs.best();
    let slopes = gradient(&inputs, &best, &of);
    let half = inputs
        .together()
        .spread(&slopes)
        .expanded(material.question.confidence);
    Ok(CycleGain {
        value: of(&best),
        half_width: half,
    })
}
