//! What happens when the residue of each run is charged into the next, again and again?
//!
//! In: the reference charge, the shares that stay on the filter, a bleed. Out: [`Cycles`].
//! This module never charges more than the vessel holds, the declared limits allow or the runs have tried.

use super::Question;
use super::cycle_gain::{CycleGain, plain_gain, uncertain_gain};
use super::inputs::{Models, Untold};
use super::reference::Reference;
use super::solids::{Retained, next_charge, retained, steady_state};
use crate::campaign::FactorKind;

/// Bleeds that are looked at for the best: every twentieth.
pub const BLEEDS: usize = 20;

/// Cycles of feeding the residue forward.
#[derive(Debug, Clone)]
pub struct Cycles {
    /// Share of the residue thrown away each cycle.
    pub bleed: f64,
    /// Whether the campaign states that bleed, or it is the best of those looked at.
    pub bleed_is_stated: bool,
    /// The bleed with the largest mean gain over the cycles, and that gain [currency/run]; `None` without the prices.
    pub best_bleed: Option<BestBleed>,
    /// One entry a cycle; the first run has no residue and is not among them.
    pub cycles: Vec<Cycle>,
    /// What is charged in the long run where nothing limits it; `None` where it grows without end.
    pub steady: Option<Steady>,
    /// The first cycle whose gain is below zero.
    pub turns_at: Option<u32>,
    /// What stops the charge from growing, where something does.
    pub limited_by: Option<Limit>,
    /// The shares that stay on the filter.
    pub retained: Retained,
}

impl Cycles {
    /// Whether nothing is charged in any cycle.
    pub fn goes_nowhere(&self) -> bool {
        self.cycles.iter().all(|cycle| cycle.residue <= 0.0)
    }
}

/// The best of the bleeds looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BestBleed {
    /// Share thrown away.
    pub bleed: f64,
    /// Mean gain of a cycle [currency/run].
    pub mean_gain: f64,
}

/// One cycle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cycle {
    /// Its number, from 1.
    pub cycle: u32,
    /// Residue charged [g].
    pub residue: f64,
    /// Its assay [mass fraction].
    pub assay: f64,
    /// All solids in the vessel [g].
    pub solids: f64,
    /// Gain of this run against one without residue; `None` without the prices that it takes.
    pub gain: Option<CycleGain>,
}

/// The long run of a loop that nothing limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steady {
    /// Residue charged [g].
    pub residue: f64,
    /// Its assay [mass fraction].
    pub assay: f64,
}

/// What stops the charge from growing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// The solids that the vessel holds.
    Vessel,
    /// The declared limit of the ratio.
    Declared,
    /// The largest ratio that was ever run.
    Tried,
}

/// Why the loop cannot be followed.
#[derive(Debug, Clone, PartialEq)]
pub enum NoCycles {
    /// The campaign names no product.
    NoProduct,
    /// No run has a closed balance with the mass and assay of its residue.
    NoClosedBalance,
    /// No residue fits beside the fresh feed.
    VesselTooSmall {
        /// Most solids that the vessel holds [g].
        solids: f64,
        /// Fresh feed of a run [g].
        feed: f64,
    },
    /// The models cannot tell a charged run.
    Untold(Untold),
}

impl From<Untold> for NoCycles {
    fn from(why: Untold) -> Self {
        NoCycles::Untold(why)
    }
}

/// What cycles are worked out from.
pub(super) struct Material<'a> {
    pub question: &'a Question<'a>,
    pub models: &'a Models<'a>,
    pub reference: &'a Reference,
}

/// Residue that waits for the next run.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Waiting {
    /// Product that it can give [g].
    pub element: f64,
    /// Everything else [g].
    inert: f64,
}

impl Waiting {
    fn mass(self, content_per_assay: f64) -> f64 {
        self.element / content_per_assay + self.inert
    }

    fn times(self, share: f64) -> Self {
        Self {
            element: share * self.element,
            inert: share * self.inert,
        }
    }
}

/// Follows the loop over the cycles that the campaign asks for.
pub(super) fn cycles(material: &Material) -> Result<Cycles, NoCycles> {
    let reference = material.reference;
    if reference.content_per_assay <= 0.0 {
        return Err(NoCycles::NoProduct);
    }
    let retained = retained(
        material.question.runs,
        material.models.yields,
        reference.content_per_assay,
    )
    .ok_or(NoCycles::NoClosedBalance)?;
    let plan = material.question.campaign.recycling.as_ref();
    let count = plan.map_or(12, |plan| plan.cycles);
    let stated = plan.and_then(|plan| plan.bleed);
    if let Some(reason) = too_small_a_vessel(material) {
        return Err(reason);
    }
    let priced = super::gained::priceless(material.question, reference).is_none();
    let best_bleed = if priced {
        best_of_bleeds(material, &retained, count)?
    } else {
        None
    };
    // Without a best, or where throwing all of it away is best, what would happen if nothing were is the more telling.
    let found_bleed = best_bleed
        .map(|best| best.bleed)
        .filter(|bleed| *bleed < 1.0);
    let bleed = stated.or(found_bleed).unwrap_or(0.0);
    let mut found = Vec::new();
    let feed = reference.feed_mass;
    for (number, (ratio, waiting)) in charges(material, &retained, bleed, count)
        .iter()
        .enumerate()
    {
        let residue = ratio * feed;
        let gain = if priced {
            Some(uncertain_gain(material, *ratio, *waiting)?)
        } else {
            None
        };
        found.push(Cycle {
            cycle: number as u32 + 1,
            residue,
            assay: assay(*waiting, reference.content_per_assay),
            solids: feed + residue,
            gain,
        });
    }
    let inflow = inflow(reference);
    let steady = steady_state(retained.element, bleed, inflow.element)
        .zip(steady_state(retained.inert, bleed, inflow.inert))
        .map(|(element, inert)| Waiting { element, inert })
        .map(|waiting| Steady {
            residue: waiting.mass(reference.content_per_assay),
            assay: assay(waiting, reference.content_per_assay),
        });
    let most = most_ratio(material);
    let limited = found
        .iter()
        .any(|cycle| cycle.residue >= most.0 * feed * (1.0 - 1e-9));
    Ok(Cycles {
        bleed,
        bleed_is_stated: stated.is_some(),
        best_bleed,
        turns_at: found
            .iter()
            .find(|cycle| cycle.gain.is_some_and(|gain| gain.value < 0.0))
            .map(|cycle| cycle.cycle),
        cycles: found,
        steady,
        limited_by: limited.then_some(most.1),
        retained,
    })
}

/// The bleed with the largest mean gain, of those looked at; the smaller of two that are alike.
fn best_of_bleeds(
    material: &Material,
    retained: &Retained,
    count: u32,
) -> Result<Option<BestBleed>, Untold> {
    let looked_at = (0..=BLEEDS)
        .map(|step| step as f64 / BLEEDS as f64)
        .map(|bleed| {
            let gains = charges(material, retained, bleed, count)
                .iter()
                .map(|(ratio, waiting)| plain_gain(material, *ratio, *waiting))
                .collect::<Result<Vec<f64>, Untold>>()?;
            Ok(BestBleed {
                bleed,
                mean_gain: gains.iter().sum::<f64>() / f64::from(count),
            })
        })
        .collect::<Result<Vec<BestBleed>, Untold>>()?;
    Ok(looked_at.into_iter().reduce(|best, next| {
        if next.mean_gain > best.mean_gain {
            next
        } else {
            best
        }
    }))
}

/// Why no residue fits beside the fresh feed, where none does.
fn too_small_a_vessel(material: &Material) -> Option<NoCycles> {
    let solids = material
        .question
        .campaign
        .recycling
        .as_ref()?
        .vessel_solids?;
    let feed = material.reference.feed_mass;
    (solids <= feed).then_some(NoCycles::VesselTooSmall { solids, feed })
}

fn assay(waiting: Waiting, content_per_assay: f64) -> f64 {
    let mass = waiting.mass(content_per_assay);
    if mass > 0.0 {
        waiting.element / content_per_assay / mass
    } else {
        0.0
    }
}

/// What fresh feed brings into a run.
fn inflow(reference: &Reference) -> Waiting {
    let element = reference.feed_mass * reference.feed_content.value();
    Waiting {
        element,
        inert: reference.feed_mass - element / reference.content_per_assay,
    }
}

/// The largest ratio that may be charged, and what sets it.
fn most_ratio(material: &Material) -> (f64, Limit) {
    let reference = material.reference;
    let mut most = (reference.tried[1], Limit::Tried);
    let mut lower = |ratio: f64, limit: Limit| {
        if ratio < most.0 {
            most = (ratio.max(0.0), limit);
        }
    };
    if let Some(FactorKind::Amount {
        high: Some(high), ..
    }) = material
        .question
        .campaign
        .factor(&reference.factor)
        .map(|f| &f.kind)
    {
        lower(*high, Limit::Declared);
    }
    let vessel = material.question.campaign.recycling.as_ref();
    if let Some(solids) = vessel.and_then(|plan| plan.vessel_solids) {
        lower(solids / reference.feed_mass - 1.0, Limit::Vessel);
    }
    most
}

/// Ratio and content of what each cycle is charged with.
fn charges(
    material: &Material,
    retained: &Retained,
    bleed: f64,
    count: u32,
) -> Vec<(f64, Waiting)> {
    let reference = material.reference;
    let inflow = inflow(reference);
    let (most, _) = most_ratio(material);
    let mut charged = Waiting::default();
    let mut found = Vec::new();
    for _ in 0..count {
        let offered = Waiting {
            element: next_charge(retained.element, bleed, inflow.element, charged.element),
            inert: next_charge(retained.inert, bleed, inflow.inert, charged.inert),
        };
        let ratio = offered.mass(reference.content_per_assay) / reference.feed_mass;
        // What does not fit is thrown away with the bleed.
        charged = if ratio > most {
            offered.times(most / ratio)
        } else {
            offered
        };
        found.push((ratio.min(most), charged));
    }
    found
}
