//! Does it pay to feed the residue forward?
//!
//! In: runs, models, costs. Out: [`Recycling`]: the gain of a charged run with its interval, what it rests on, and where the
//! verdict flips.
//! This module never calls a gain settled whose interval holds zero.

mod break_even;
mod by_level;
mod cycle_gain;
mod cycles;
mod gain;
mod gained;
mod inputs;
mod map;
mod money;
mod not_counted;
mod reference;
mod settle;
mod solids;
mod worth;

pub use break_even::{BreakEven, Never};
pub use cycle_gain::CycleGain;
pub use cycles::{BLEEDS, BestBleed, Cycle, Cycles, Limit, NoCycles, Steady};
pub use gain::{Charged, Figure, Figures, Gain, gain};
pub use gained::DRAWS as DRAWS_OF_GAIN;
pub use inputs::{SideModel, Untold};
pub use map::Map;
pub use money::{Influence, Money};
pub use reference::{Reference, Unanswered};
pub use settle::{NotPlanned, Settling};
pub use solids::{Retained, Shares, next_charge, steady_state};
pub use worth::Worth;

use serde::Serialize;

use super::costs::Costs;
use super::models::{ModelOf, ModelSet};
use crate::campaign::{Campaign, RecyclingValue};
use crate::measured::Together;
use crate::regression::{Estimate, Refusal, Weighted};
use crate::runs::Runs;
use by_level::by_level;
use inputs::{Inputs, Models, gradient};
use money::money;

/// What the log says about feeding the residue forward.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Verdict {
    /// The interval of the gain lies above zero.
    #[serde(rename = "pays")]
    Pays,
    /// It lies below zero, or its upper end below what would matter.
    #[serde(rename = "does not pay")]
    DoesNotPay,
    /// It holds zero.
    #[serde(rename = "not settled")]
    NotSettled,
    /// It holds zero, and more than three times the runs made would be needed to tell.
    #[serde(rename = "not settled")]
    TooClose,
}

impl Verdict {
    /// The verdict of an interval; `margin` is the gain that would matter in practice.
    fn of(low: f64, high: f64, margin: f64) -> Self {
        if low > 0.0 {
            Verdict::Pays
        } else if high < margin.max(0.0) {
            Verdict::DoesNotPay
        } else {
            Verdict::NotSettled
        }
    }
}

/// A figure with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    /// Best estimate.
    pub value: f64,
    /// Standard uncertainty.
    pub uncertainty: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Amount {
    fn times(self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            uncertainty: self.uncertainty * factor,
            low: self.low * factor,
            high: self.high * factor,
        }
    }
}

/// The answer to whether residue pays.
#[derive(Debug, Clone)]
pub struct Recycling {
    /// The charge that it is about.
    pub reference: Reference,
    /// Product gained per charged run [g]; of the feed saved where that is valued.
    pub extra_product: Amount,
    /// Fresh feed saved per charged run [g]; 0 where extra product is valued.
    pub feed_saved: f64,
    /// Extra product over what the content of the residue gives at the conversion of fresh feed [fraction].
    pub of_promise: Amount,
    /// What happens to each other response [its unit].
    pub responses: Vec<ResponseChange>,
    /// The money, or why there is none.
    pub money: Result<Money, Unanswered>,
    /// Extra product with the route, or another choice that changes it, at each level.
    pub by_level: Vec<AtLevel>,
    /// The loop over cycles, or why it cannot be followed.
    pub cycles: Result<Cycles, NoCycles>,
    /// Yields whose combination decides, for planning further runs, in product per run [g].
    pub contrast: Vec<Weighted>,
}

/// How a response changes when residue is charged.
#[derive(Debug, Clone)]
pub struct ResponseChange {
    /// Name of the response.
    pub response: String,
    /// Its unit.
    pub unit: String,
    /// The change, or why it cannot be told.
    pub change: Result<Estimate, Refusal>,
}

/// The gain with a choice at one level.
#[derive(Debug, Clone)]
pub struct AtLevel {
    /// The choice.
    pub factor: String,
    /// The level.
    pub level: String,
    /// Extra product [g], or why it cannot be told.
    pub extra_product: Result<Amount, Untold>,
    /// Gain per charged run [currency]; `None` without money.
    pub gain: Option<Amount>,
    /// The verdict of that gain alone.
    pub verdict: Option<Verdict>,
}

/// What the question is answered from.
pub(super) struct Question<'a> {
    pub campaign: &'a Campaign,
    pub runs: &'a Runs,
    pub models: &'a ModelSet,
    pub costs: Option<&'a Costs>,
    pub confidence: f64,
    pub seed: u64,
}

impl Question<'_> {
    /// The gain of a charged run below which it does not matter; 0 where the campaign states none [currency].
    fn margin(&self) -> f64 {
        super::margin_of_gain(self.campaign).unwrap_or(0.0)
    }
}

/// The gain alone.
#[derive(Debug, Clone)]
pub struct ResidueGain {
    /// The charge that it is about.
    pub reference: Reference,
    /// Product gained per charged run [g].
    pub extra_product: Amount,
    /// Gain per charged run [currency].
    pub gain: Amount,
    /// What its interval says.
    pub verdict: Verdict,
}

/// What every answer rests on.
struct Basis<'a> {
    models: Models<'a>,
    reference: Reference,
    inputs: Inputs,
}

fn basis<'a>(question: &Question<'a>) -> Result<Basis<'a>, Unanswered> {
    let (runs, costs) = (question.runs, question.costs);
    let yields = question.models.yields();
    let reference = Reference::of(question.campaign, runs, costs, yields)?;
    let yields = yields.ok_or(Unanswered::NoModel)?;
    let side = &question.models.side;
    let models = Models {
        yields,
        reagents: side.reagents.as_ref(),
        residue_out: side.residue_out.as_ref(),
    };
    let inputs = Inputs::of(runs, costs, &models, &reference);
    let inputs = inputs.map_err(|why| Unanswered::CannotBeTold {
        factor: reference.factor.clone(),
        residual_df: yields.residual_df,
        why,
    })?;
    Ok(Basis {
        models,
        reference,
        inputs,
    })
}

/// What a charged run gives more, for the same fresh feed [g].
fn extra_product(charged: &Charged) -> impl Fn(&Figures) -> f64 {
    let product = Charged {
        value: RecyclingValue::Product,
        ..*charged
    };
    move |figures| gain(figures, &product).extra_product
}

/// The gain of a charged run and its verdict, without what would settle it and where it flips.
pub(super) fn residue_gain(question: &Question) -> Result<ResidueGain, Unanswered> {
    let Basis {
        reference, inputs, ..
    } = basis(question)?;
    let gained = gained::gained(question, &reference, &inputs)?;
    let extra = amount(
        question,
        &inputs,
        &gained.together,
        &extra_product(&reference.charged),
    );
    Ok(ResidueGain {
        extra_product: extra,
        gain: gained.gain,
        verdict: gained.verdict,
        reference,
    })
}

/// Findings whether residue pays, or says what is missing.
pub(super) fn recycling(question: &Question) -> Result<Recycling, Unanswered> {
    let Basis {
        models,
        reference,
        inputs,
    } = basis(question)?;
    let together = inputs.together();
    let charged = reference.charged;
    let amount = |of: &dyn Fn(&Figures) -> f64| amount(question, &inputs, &together, of);
    let extra = extra_product(&charged);
    let promise = |figures: &Figures| {
        extra(figures)
            / (figures.get(Figure::YieldWithout)
                * charged.feed_mass
                * charged.ratio
                * figures.get(Figure::ResidueContent))
    };
    let cycles = cycles::cycles(&cycles::Material {
        question,
        models: &models,
        reference: &reference,
    });
    Ok(Recycling {
        extra_product: amount(&extra),
        feed_saved: charged.feed_mass - gain(&inputs.best(), &charged).feed_mass,
        of_promise: amount(&promise),
        responses: responses(question, &reference),
        money: money(question, &models, &reference, &inputs),
        by_level: by_level(question, &models, &reference),
        cycles,
        contrast: reference.contrast().to_vec(),
        reference,
    })
}

fn responses(question: &Question, reference: &Reference) -> Vec<ResponseChange> {
    let others = question.models.of_responses();
    others
        .filter(|of| of.kind != ModelOf::Yield)
        .map(|of| ResponseChange {
            response: of.kind.name().to_string(),
            unit: of.model.unit.clone(),
            change: of.model.difference(&reference.with, &reference.without),
        })
        .collect()
}

/// A result of the figures with its interval, by propagation.
fn amount(
    question: &Question,
    inputs: &Inputs,
    together: &Together,
    of: &dyn Fn(&Figures) -> f64,
) -> Amount {
    let best = inputs.best();
    let spread = together.spread(&gradient(inputs, &best, &of));
    let (value, half) = (of(&best), spread.expanded(question.confidence));
    Amount {
        value,
        uncertainty: spread.uncertainty,
        low: value - half,
        high: value + half,
    }
}
