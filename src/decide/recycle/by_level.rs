//! Does the residue pay with each route?
//!
//! In: the question and the reference charge. Out: [`AtLevel`]s of the route, or of another choice that changes what residue does.
//! This module never compares two levels with one another.

use super::gain::{Charged, Figures, gain};
use super::gained::priceless;
use super::inputs::{Inputs, Models};
use super::reference::Reference;
use super::worth;
use super::{AtLevel, Question, Verdict, amount};
use crate::campaign::{RecyclingValue, StandsFor};
use crate::runs::FactorValues;

/// The gain at each level of the route, or of another choice that changes what residue does.
pub(super) fn by_level(
    question: &Question,
    models: &Models,
    reference: &Reference,
) -> Vec<AtLevel> {
    let route = question.campaign.factor_for(StandsFor::Route);
    let mut tests = models.yields.tests.iter();
    let changes = tests.find_map(|test| test.other_than(&reference.factor));
    let Some(choice) = changes
        .map(str::to_string)
        .or_else(|| route.map(|plan| plan.name.clone()))
    else {
        return Vec::new();
    };
    let column = question.runs.factors.iter().find(|f| f.name == choice);
    let Some(FactorValues::Choice { levels, .. }) = column.map(|column| &column.values) else {
        return Vec::new();
    };
    levels
        .iter()
        .map(|level| one_level(question, models, reference, &choice, level))
        .collect()
}

fn one_level(
    question: &Question,
    models: &Models,
    reference: &Reference,
    choice: &str,
    level: &str,
) -> AtLevel {
    let at = reference.at_level(choice, level);
    let inputs = Inputs::of(question.runs, question.costs, models, &at);
    let amounts = inputs.map(|inputs| {
        let inputs = match worth::counted(question, &at) {
            Some(worth) => inputs.worth(&worth),
            None => inputs,
        };
        let together = inputs.together();
        let product = Charged {
            value: RecyclingValue::Product,
            ..at.charged
        };
        let of = |of: &dyn Fn(&Figures) -> f64| amount(question, &inputs, &together, of);
        [
            of(&|figures: &Figures| gain(figures, &product).extra_product),
            of(&|figures: &Figures| gain(figures, &at.charged).total()),
        ]
    });
    let money = priceless(question, reference).is_none();
    let gain = amounts.as_ref().ok().map(|a| a[1]).filter(|_| money);
    AtLevel {
        factor: choice.to_string(),
        level: level.to_string(),
        extra_product: amounts.map(|amounts| amounts[0]),
        gain,
        verdict: gain.map(|gain| Verdict::of(gain.low, gain.high, question.margin())),
    }
}
