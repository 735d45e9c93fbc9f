//! Whether it pays to feed the residue forward.
//!
//! In: runs, models, costs. Out: [`Recycling`]: the gain of a charged run with its interval, what it rests on, and where the
//! verdict flips.
//! This module never calls a gain settled whose interval holds zero.

mod answer;
mod bleeds;
mod break_even;
mod build_up;
mod case;
mod charging;
mod cycle_gain;
mod cycles;
mod figures;
mod gain;
mod gain_by_level;
mod gain_verdict;
mod inputs;
mod map;
mod meeting_specification;
mod money;
mod policies;
mod quantity;
mod reference_charge;
mod settle;
mod shelf;
mod solids;

pub use answer::{Amount, SideModel, Unanswered, Untold, Verdict};
pub use bleeds::{BLEEDS, BestBleed};
pub use break_even::{BreakEven, Never};
pub use build_up::BuildUp;
pub use charging::{Limit, When};
pub use cycle_gain::CycleGain;
pub use cycles::{Cycle, Cycles, NoCycles, Steady};
pub use gain::{Carried, Figure, Gain};
pub use gain_by_level::AtLevel;
pub use gain_verdict::DRAWS as DRAWS_OF_GAIN;
pub use map::Map;
pub use meeting_specification::Worth;
pub use money::{Handled, Influence, Money, Way};
pub use policies::{Policies, Policy};
pub use quantity::{ForQuantity, Takes};
pub use reference_charge::{Reference, residue_factor};
pub use settle::{NotPlanned, Settling};
pub use shelf::{Shelf, shelf};
pub use solids::{KeptBy, Retained, Shares};

use super::evidence::Material;
use super::models::ModelOf;
use crate::regression::{Estimate, Refusal, Weighted};
use case::Case;
use gain::{extra_product, gain};
use inputs::Inputs;

/// The answer to whether residue pays.
#[derive(Debug, Clone)]
pub struct Recycling {
    /// The charge that it is about.
    pub reference: Reference,
    /// Product gained per charged run \[g\]; of the feed saved where that is valued.
    pub extra_product: Amount,
    /// Fresh feed saved per charged run \[g\]; 0 where extra product is valued.
    pub feed_saved: f64,
    /// Extra product over what the content of the residue gives at the conversion of fresh feed \[fraction\].
    pub of_promise: Amount,
    /// Extra product beyond all that the residue can give \[g\]; above zero is impossible.
    pub beyond_content: Amount,
    /// Contained yield of the charged run [fraction of theory].
    pub conversion: Amount,
    /// What happens to each other response [its unit].
    pub responses: Vec<ResponseChange>,
    /// The money, or why there is none.
    pub money: Result<Money, Unanswered>,
    /// Extra product with the route, or another choice that changes it, at each level.
    pub by_level: Vec<AtLevel>,
    /// The loop over cycles, or why it cannot be followed.
    pub cycles: Result<Cycles, NoCycles>,
    /// Yields whose combination decides, for planning further runs, in product per run \[g\].
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

/// The gain alone.
#[derive(Debug, Clone)]
pub struct CarriedGain {
    /// The charge that it is about.
    pub reference: Reference,
    /// Product gained per charged run \[g\].
    pub extra_product: Amount,
    /// Gain per charged run \[currency\].
    pub gain: Amount,
    /// What its interval says.
    pub verdict: Verdict,
    /// The gain valued in each way that has its prices.
    pub ways: Vec<Way>,
}

/// What a run gains by the residue charged into it, without what would settle it and where it flips.
///
/// # Errors
/// As [`recycling`], and a price that is missing.
pub fn residue_gain(material: &Material) -> Result<CarriedGain, Unanswered> {
    carried_gain(material, Carried::Residue)
}

/// What a run gains by the mother liquor carried on into it; `None` where no run charged any.
///
/// # Errors
/// As [`recycling`], and a price that is missing.
pub fn liquor_gain(material: &Material) -> Option<Result<CarriedGain, Unanswered>> {
    let mut runs = material.runs.results.iter();
    let is_asked = runs.any(|run| run.charge.liquor_in > 0.0);
    is_asked.then(|| carried_gain(material, Carried::Liquor))
}

fn carried_gain(material: &Material, carried: Carried) -> Result<CarriedGain, Unanswered> {
    let case = Case::of(material, carried)?;
    let inputs = gain_verdict::inputs(&case, None)?;
    let gained = gain_verdict::gained(&case)?;
    let charged = &case.reference.charged;
    let extra = |figures: &_| extra_product(figures, charged);
    Ok(CarriedGain {
        extra_product: inputs.amount(extra),
        gain: gained.gain,
        verdict: gained.verdict,
        ways: money::ways(&case, &gained),
        reference: case.reference,
    })
}

/// The gain of a charge by other models of the same runs; `None` where they cannot tell it.
pub(super) fn gain_otherwise(material: &Material, reference: &Reference) -> Option<Amount> {
    let case = Case::at(material, material.models.yields()?, reference.clone());
    let counts = meeting_specification::counted(&case);
    let inputs = Inputs::of(&case, counts.as_ref()).ok()?;
    Some(inputs.amount(|figures| inputs.gain(figures)))
}

/// Whether it pays to feed the residue forward, or what is missing to say so.
///
/// # Errors
/// What is missing, and what can be answered all the same.
pub fn recycling(material: &Material) -> Result<Recycling, Unanswered> {
    let case = Case::of(material, Carried::Residue)?;
    let inputs = gain_verdict::inputs(&case, None)?;
    let charged = &case.reference.charged;
    let extra = |figures: &_| extra_product(figures, charged);
    let others = material.models.of_responses();
    let others = others.filter(|of| of.kind != ModelOf::Yield);
    Ok(Recycling {
        extra_product: inputs.amount(extra),
        feed_saved: charged.feed_mass - gain(&inputs.best, charged).feed_mass,
        of_promise: inputs.amount(|figures| {
            let conversion = figures.get(Figure::YieldWithout) * charged.feed_mass;
            extra(figures) / (conversion * charged.ratio * figures.get(Figure::ResidueContent))
        }),
        beyond_content: inputs.amount(|figures| {
            let holds = charged.feed_mass * charged.ratio * figures.get(Figure::ResidueContent);
            extra(figures) - holds
        }),
        conversion: inputs.amount(|figures| figures.get(Figure::YieldWith)),
        responses: others
            .map(|of| ResponseChange {
                response: of.kind.name().to_string(),
                unit: of.model.unit.clone(),
                change: case.difference(&of.model),
            })
            .collect(),
        money: money::money(&case),
        by_level: gain_by_level::by_level(&case),
        cycles: cycles::cycles(&case),
        contrast: case.contrast().to_vec(),
        reference: case.reference,
    })
}
