//! The gain of one cycle of a loop.
//!
//! In: the reference charge moved to the ratio and the content of the cycle. Out: [`CycleGain`], and figures and gains at the
//! best estimates.
//! This module never decides what is charged.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use super::answer::Untold;
use super::case::Case;
use super::gain::{Charged, Figure, Figures, gain};
use super::inputs::{Inputs, stated};
use super::meeting_specification::{self, Worth};
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
    let content = content(case, ratio, waiting);
    // The error of the residue's content is that of the residue charged so far, in proportion.
    let known = &case.reference.residue_content;
    let scaled = if known.value() > 0.0 {
        known.clone() * (content / known.value())
    } else {
        Measured::exact(content)
    };
    case.at_ratio(ratio, scaled)
}

/// What the models tell of charges, each ratio asked once: they know nothing of the content of what is charged.
pub(super) struct Asked<'c, 'a> {
    pub case: &'c Case<'a>,
    figures: RefCell<BTreeMap<u64, Figures>>,
    counted: RefCell<BTreeMap<u64, Option<Rc<Worth>>>>,
}

impl<'c, 'a> Asked<'c, 'a> {
    pub fn of(case: &'c Case<'a>) -> Self {
        Self {
            case,
            figures: RefCell::default(),
            counted: RefCell::default(),
        }
    }

    /// The gain of a cycle at the best estimates \[currency\].
    ///
    /// # Errors
    /// Why the models cannot tell it.
    pub fn plain_gain(&self, ratio: f64, waiting: Waiting) -> Result<f64, Untold> {
        if ratio <= 0.0 {
            return Ok(0.0);
        }
        let content = content(self.case, ratio, waiting);
        let figures = self.figures(ratio)?.with(Figure::ResidueContent, content);
        let charged = Charged {
            ratio,
            ..self.case.reference.charged
        };
        Ok(gain(&figures, &charged).total())
    }

    /// The figures of a charge of this ratio at their best estimates, with the content of the residue charged so far.
    ///
    /// # Errors
    /// Why the models cannot tell them.
    pub fn figures(&self, ratio: f64) -> Result<Figures, Untold> {
        let known = self.figures.borrow().get(&ratio.to_bits()).copied();
        match known {
            Some(known) => Ok(known),
            None => {
                let content = self.case.reference.residue_content.clone();
                let found = best(&self.case.at_ratio(ratio, content))?;
                self.figures.borrow_mut().insert(ratio.to_bits(), found);
                Ok(found)
            }
        }
    }

    /// The chances of meeting the specification at this ratio, where product off it is worth less.
    fn counted(&self, case: &Case, ratio: f64) -> Option<Rc<Worth>> {
        let mut known = self.counted.borrow_mut();
        let found = known.entry(ratio.to_bits());
        let found = found.or_insert_with(|| meeting_specification::counted(case).map(Rc::new));
        found.clone()
    }
}

/// Product that a gram of what waits can give, charged at a ratio [g/g].
fn content(case: &Case, ratio: f64, waiting: Waiting) -> f64 {
    match ratio * case.reference.feed_mass {
        mass if mass > 0.0 => waiting.element / mass,
        _ => 0.0,
    }
}

/// The figures of a charge at their best estimates.
///
/// # Errors
/// Why the models cannot tell them.
fn best(case: &Case) -> Result<Figures, Untold> {
    let (reference, side) = (&case.reference, &case.material.models.side);
    let mean = |model: &FittedModel, at: &Settings| model.mean(at).map_err(Untold::Refused);
    let pair = |model: &Option<FittedModel>| -> Result<[f64; 2], Untold> {
        let Some(model) = model else {
            return Ok([0.0, 0.0]);
        };
        let without = mean(model, &reference.without)?;
        Ok([without, mean(model, &reference.with)? - without])
    };
    let yields = [
        mean(case.yields, &reference.with)?,
        mean(case.yields, &reference.without)?,
    ];
    let (reagents, out) = (pair(&side.reagents)?, pair(&side.residue_out)?);
    let second = pair(&side.second)?;
    let labour = labour_means(case).unwrap_or([0.0, 0.0]);
    let worth = meeting_specification::chances(case).unwrap_or([1.0, 1.0]);
    Ok(Figures::from(|figure| match figure {
        Figure::YieldWith => yields[0],
        Figure::YieldWithout => yields[1],
        Figure::ReagentsWithout => reagents[0],
        Figure::ReagentsExtra => reagents[1],
        Figure::ResidueOutWithout => out[0],
        Figure::ResidueOutExtra => out[1],
        Figure::SecondWithout => second[0],
        Figure::SecondExtra => second[1],
        Figure::RunLabour => labour[0],
        Figure::LabourExtra => labour[1],
        Figure::WorthWith => worth[0],
        Figure::WorthWithout => worth[1],
        other => stated(case, other).value(),
    }))
}

/// Labour of a run without residue and what a charged run logs more \[min\]; `None` where no model tells the first.
fn labour_means(case: &Case) -> Option<[f64; 2]> {
    let model = case.material.models.side.labour.as_ref()?;
    let without = model.mean(&case.reference.without).ok()?;
    Some([
        without,
        case.extra_labour().map_or(0.0, |extra| extra.value),
    ])
}

/// The gain of a cycle with half the width of its interval, by propagation as for [`Inputs::amount`].
///
/// # Errors
/// Why the models cannot tell it.
pub(super) fn uncertain_gain(
    asked: &Asked,
    ratio: f64,
    waiting: Waiting,
) -> Result<CycleGain, Untold> {
    if ratio <= 0.0 {
        return Ok(CycleGain {
            value: 0.0,
            half_width: 0.0,
        });
    }
    let case = at(asked.case, ratio, waiting);
    let inputs = Inputs::of(&case, asked.counted(&case, ratio).as_deref())?;
    Ok(CycleGain {
        value: inputs.gain(&inputs.best),
        half_width: inputs.half_width(&inputs.best, &[]),
    })
}
