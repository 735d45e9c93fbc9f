//! How good settings are, and whether they may be trusted.
//!
//! In: the models, and the settings of the runs made. Out: [`Judge`], which looks at many settings quickly.
//! This module never trusts a mean that is less certain than the least certain one of the runs made.

use crate::decide::aim::Aimed;
use crate::decide::models::ModelSet;
use crate::decide::specification::Specification;
use crate::regression::{FittedModel, Settings};

/// Rounding of two variances of the same settings.
const ROUNDING: f64 = 1e-9;

/// What judges settings.
pub(super) struct Judge<'a> {
    pub goal: &'a FittedModel,
    pub aim: &'a Aimed,
    pub specification: Option<Specification<'a>>,
    /// Largest variance of the mean at the runs made, of what is aimed at.
    farthest: Option<f64>,
    /// The same of purity.
    farthest_purity: Option<f64>,
}

/// Which demands count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Demand {
    /// All of them.
    All,
    /// Settings may be far from the runs made.
    AnyDistance,
    /// Runs may miss the specification.
    AnyPurity,
}

impl<'a> Judge<'a> {
    /// A judge by the models there are; `None` without a model of what is aimed at.
    pub fn new(aim: &'a Aimed, models: &'a ModelSet, made: &[Settings]) -> Option<Judge<'a>> {
        let specification = aim.specification(models);
        let goal = models.model(&aim.of)?;
        Some(Judge {
            goal,
            aim,
            farthest: farthest(goal, made),
            farthest_purity: specification.and_then(|of| farthest(of.purity, made)),
            specification,
        })
    }

    /// How good settings are expected to be, larger for the better; None where the runs cannot tell.
    pub fn gain(&self, settings: &Settings) -> Option<f64> {
        let mean = self.goal.mean(settings).ok()?;
        Some(self.aim.direction.gain(mean))
    }

    /// Whether the means there are as certain as those of some run made.
    pub fn is_near(&self, settings: &Settings) -> bool {
        let near = |model: &FittedModel, farthest: Option<f64>| {
            let mean = model.rough_mean(settings);
            let is_near = |(variance, most)| variance <= most * (1.0 + ROUNDING);
            mean.is_ok_and(|mean| mean.variance.zip(farthest).is_none_or(is_near))
        };
        let is_pure = |of: Specification| near(of.purity, self.farthest_purity);
        near(self.goal, self.farthest) && self.specification.is_none_or(is_pure)
    }

    /// The chance that a new run there meets the specification; None without a specification or where it cannot be told.
    pub fn chance(&self, settings: &Settings) -> Option<f64> {
        self.specification?.chance_at(settings).ok().flatten()
    }

    /// Whether new runs there meet the specification often enough; without one they do.
    pub fn is_pure(&self, settings: &Settings) -> bool {
        let meets = |asked: Specification| {
            let chance = self.chance(settings);
            chance.is_some_and(|chance| chance >= asked.chance)
        };
        self.specification.is_none_or(meets)
    }

    /// Whether settings meet the demands that count.
    pub fn meets(&self, settings: &Settings, demand: Demand) -> bool {
        (demand == Demand::AnyDistance || self.is_near(settings))
            && (demand == Demand::AnyPurity || self.is_pure(settings))
    }
}

fn farthest(model: &FittedModel, made: &[Settings]) -> Option<f64> {
    let variances = made.iter().map(|at| model.rough_mean(at).ok()?.variance);
    variances.flatten().reduce(f64::max)
}
