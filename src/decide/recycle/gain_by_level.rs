//! The gain with each route, or with each level of another choice that changes what residue does.
//!
//! In: the reference charge. Out: [`AtLevel`]s.
//! This module never compares two levels with one another.

use super::answer::{Amount, Untold, Verdict};
use super::case::Case;
use super::gain::extra_product;
use super::inputs::Inputs;
use super::meeting_specification;
use crate::campaign::StandsFor;

/// The gain with a choice at one level.
#[derive(Debug, Clone)]
pub struct AtLevel {
    /// The choice.
    pub factor: String,
    /// The level.
    pub level: String,
    /// Extra product \[g\], or why it cannot be told.
    pub extra_product: Result<Amount, Untold>,
    /// Gain per charged run \[currency\]; `None` without money.
    pub gain: Option<Amount>,
    /// The verdict of that gain alone.
    pub verdict: Option<Verdict>,
}

/// The gain at each level of the route, or of another choice that changes what residue does.
///
/// Where the model has residue and route apart, one with their joint effect answers: the gain with a route must not be the
/// mean over all routes with another constant.
pub(super) fn by_level(case: &Case) -> Vec<AtLevel> {
    let joint = case.material.models.side.yield_by_route.as_ref();
    let case = &case.with_yields(joint.unwrap_or(case.yields));
    let route = case.material.campaign.factor_for(StandsFor::Route);
    let mut tests = case.yields.tests.iter();
    let changes = tests.find_map(|test| test.other_than(&case.reference.factor));
    let choice = changes.or(route.map(|plan| plan.name.as_str()));
    let column = choice.and_then(|choice| case.material.runs.factor(choice));
    let levels = column.iter().flat_map(|column| {
        let levels = column.levels().iter();
        let may_be = levels.filter(|level| case.at_level(&column.name, level).may_be_charged());
        may_be.map(|level| at_level(case, &column.name, level))
    });
    levels.collect()
}

fn at_level(case: &Case, choice: &str, level: &str) -> AtLevel {
    let at = case.at_level(choice, level);
    let inputs = Inputs::of(&at, meeting_specification::counted(&at).as_ref());
    let charged = &at.reference.charged;
    let gain = inputs.as_ref().ok().filter(|_| at.priceless().is_none());
    let gain = gain.map(|inputs| inputs.amount(|figures| inputs.gain(figures)));
    AtLevel {
        factor: choice.to_string(),
        level: level.to_string(),
        extra_product: inputs
            .map(|inputs| inputs.amount(|figures| extra_product(figures, charged))),
        gain,
        verdict: gain.map(|gain| Verdict::of(gain.low, gain.high, case.margin())),
    }
}
