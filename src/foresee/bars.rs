//! What the campaign file bars of a route, a volume or a temperature.
//!
//! In: `[limits]`, the declared ends of amounts, and what is foreseen. Out: [`Bar`]s.
//! This module never leaves a bar out because it may not come to bear: what else it asks for is named.

use std::ops::{Bound, RangeBounds};

use crate::campaign::{Campaign, FactorKind, FactorPlan, NeverIs, NeverPart, StandsFor};
use crate::units::{Dimension, Unit};

/// Names under which a campaign may declare what a route ends with; how far both are boiled and chilled is held against them.
const END_VOLUME: &str = "end_volume";
const END_TEMPERATURE: &str = "end_temperature";

/// Something that the campaign file bars.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// The factor that is barred.
    pub factor: String,
    /// What bars it.
    pub by: BarredBy,
    /// Line of the campaign file.
    pub line: usize,
}

/// What bars something.
#[derive(Debug, Clone, PartialEq)]
pub enum BarredBy {
    /// An entry of `[limits] never`, with what it names besides that is not known here.
    Never {
        /// Factors with what they must not be together with it.
        together_with: Vec<NeverPart>,
    },
    /// It lies below the declared low end, or above the high one.
    Outside {
        /// The value, in the unit of the factor.
        value: f64,
        /// The end that it passes.
        end: f64,
        /// Unit of the factor.
        unit: String,
    },
}

/// What is foreseen, as limits may name it.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Settings<'a> {
    /// The route.
    pub route: Option<&'a str>,
    /// Volume \[mL\].
    pub end_volume: Option<f64>,
    /// Temperature \[degC\].
    pub end_temperature: Option<f64>,
}

/// Everything that bars it.
pub(super) fn bars(campaign: &Campaign, settings: &Settings) -> Vec<Bar> {
    let mut bars = Vec::new();
    for never in &campaign.limits.never {
        let meets = |part: &NeverPart| meets(campaign, settings, part);
        let known: Vec<&NeverPart> = never.iter().filter(|p| meets(p) == Some(true)).collect();
        let is_avoided = never.iter().any(|part| meets(part) == Some(false));
        let Some(first) = known.first().filter(|_| !is_avoided) else {
            continue;
        };
        let others = never.iter().filter(|part| meets(part).is_none());
        bars.push(Bar {
            factor: first.factor.clone(),
            by: BarredBy::Never {
                together_with: others.cloned().collect(),
            },
            line: first.line,
        });
    }
    let amounts = campaign.factors.iter();
    bars.extend(amounts.filter_map(|plan| outside(plan, amount(settings, plan)?)));
    bars
}

fn outside(plan: &FactorPlan, value: f64) -> Option<Bar> {
    let [low, high] = plan.limits();
    let end = low.filter(|low| value < *low);
    let end = end.or(high.filter(|high| value > *high))?;
    Some(Bar {
        factor: plan.name.clone(),
        by: BarredBy::Outside {
            value,
            end,
            unit: unit(plan).unwrap_or_default().to_string(),
        },
        line: plan.line,
    })
}

/// Whether what is foreseen is what a part forbids; `None` where it says nothing of that factor.
fn meets(campaign: &Campaign, settings: &Settings, part: &NeverPart) -> Option<bool> {
    let plan = campaign.factor(&part.factor)?;
    match &part.is {
        NeverIs::Level(level) if plan.stands_for == Some(StandsFor::Route) => {
            Some(settings.route? == level)
        }
        NeverIs::Level(_) => None,
        NeverIs::Amounts { low, high, .. } => {
            let range: (Bound<f64>, Bound<f64>) = (*low, *high);
            Some(range.contains(&amount(settings, plan)?))
        }
    }
}

fn unit(plan: &FactorPlan) -> Option<&str> {
    match &plan.kind {
        FactorKind::Amount { unit, .. } => unit.as_deref(),
        FactorKind::Choice { .. } => None,
    }
}

/// What is foreseen of an amount, in its unit.
fn amount(settings: &Settings, plan: &FactorPlan) -> Option<f64> {
    let (value, dimension) = match plan.name.as_str() {
        END_VOLUME => (settings.end_volume?, Dimension::Volume),
        END_TEMPERATURE => (settings.end_temperature?, Dimension::Temperature),
        _ => return None,
    };
    let unit = unit(plan).and_then(|unit| Unit::of(unit, dimension));
    Some(unit.map_or(value, |unit| unit.from_base(value)))
}
