//! The loop in which the residue of each run is charged into the next, again and again.
//!
//! In: the reference charge, the shares that stay on the filter, a bleed. Out: [`Cycles`].
//! This module never charges more than the vessel holds, the declared limits allow or the runs have tried.

use super::answer::Untold;
use super::bleeds::{BestBleed, best_of_bleeds};
use super::build_up::{BuildUp, build_up};
use super::case::Case;
use super::charging::{Charge, Limit, When, charges, inflow, most_ratio};
use super::cycle_gain::{Asked, CycleGain, uncertain_gain};
use super::policies::{Policies, policies};
use super::solids::{KeptBy, Retained, kept_by};
use crate::campaign::StandsFor;
use crate::decide::models::runs_of;

/// Cycles of feeding the residue forward.
#[derive(Debug, Clone)]
pub struct Cycles {
    /// Share of the residue thrown away each cycle.
    pub bleed: f64,
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
    /// What stays on the filter by route, where at least two levels tell.
    pub kept_by_route: Vec<KeptBy>,
    /// Impurities that build up.
    pub build_up: Vec<BuildUp>,
    /// Charging every run held against charging less often; None where no gain is known.
    pub policies: Option<Policies>,
}

impl Cycles {
    /// Whether nothing is charged in any cycle.
    pub fn goes_nowhere(&self) -> bool {
        self.cycles.iter().all(|cycle| cycle.residue <= 0.0)
    }
}

/// One cycle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cycle {
    /// Its number, from 1.
    pub cycle: u32,
    /// Residue charged \[g\].
    pub residue: f64,
    /// Its assay [mass fraction].
    pub assay: f64,
    /// All solids in the vessel \[g\].
    pub solids: f64,
    /// Gain of this run against one without residue; `None` without the prices that it takes.
    pub gain: Option<CycleGain>,
}

/// The long run of a loop that nothing limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steady {
    /// Residue charged \[g\].
    pub residue: f64,
    /// Its assay [mass fraction].
    pub assay: f64,
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
        /// Most solids that the vessel holds \[g\].
        solids: f64,
        /// Fresh feed of a run \[g\].
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

/// Follows the loop over the cycles that the campaign asks for.
///
/// Each cycle is charged with what [`Retained::next`] gives of the one before, cut to the largest ratio that may be charged.
/// Without a stated bleed, the one with the largest mean gain is taken.
///
/// # Assumes
/// What stays on the filter keeps its shares from cycle to cycle, and the models hold at the contents that build up.
/// # Errors
/// Why it cannot be followed.
pub(super) fn cycles(case: &Case) -> Result<Cycles, NoCycles> {
    let reference = &case.reference;
    let (feed, content) = (reference.feed_mass, reference.content_per_assay);
    if content <= 0.0 {
        return Err(NoCycles::NoProduct);
    }
    let runs = runs_of(case.yields, case.material.runs).into_iter();
    let retained =
        Retained::of(runs.map(|(_, run)| run), content).ok_or(NoCycles::NoClosedBalance)?;
    if let Some(solids) = reference.vessel_solids.filter(|solids| *solids <= feed) {
        return Err(NoCycles::VesselTooSmall { solids, feed });
    }
    let plan = case.material.campaign.recycling.as_ref();
    let count = plan.map_or(12, |plan| plan.cycles);
    let priced = case.priceless().is_none();
    let asked = Asked::of(case);
    let best_bleed = if priced {
        let every = When::Every(1);
        Some(best_of_bleeds(case, &asked, &retained, every, count)?)
    } else {
        None
    };
    // Without a best, or where throwing all of it away is best, what would happen if nothing were is the more telling.
    let best = best_bleed
        .map(|best| best.bleed)
        .filter(|bleed| *bleed < 1.0);
    let stated = plan.and_then(|plan| plan.bleed);
    let bleed = stated.or(best).unwrap_or(0.0);
    let cycle = |(number, Charge { ratio, waiting, .. })| {
        let gain = priced.then(|| uncertain_gain(&asked, ratio, waiting));
        let residue = ratio * feed;
        Ok::<_, Untold>(Cycle {
            cycle: number,
            residue,
            assay: waiting.assay(content),
            solids: feed + residue,
            gain: gain.transpose()?,
        })
    };
    let charges = charges(case, &retained, When::Every(1), bleed, count);
    let build_up = build_up(case, &charges, bleed);
    let cycles: Vec<Cycle> = (1..)
        .zip(charges)
        .map(cycle)
        .collect::<Result<_, Untold>>()?;
    let steady = retained.steady(bleed, inflow(reference));
    let policies = priced.then(|| policies(&asked, &retained, stated, count));
    let (most, limit) = most_ratio(case);
    let limited = |cycle: &Cycle| cycle.residue >= most * feed * (1.0 - 1e-9);
    let loses = |cycle: &&Cycle| cycle.gain.is_some_and(|gain| gain.value < 0.0);
    Ok(Cycles {
        bleed,
        best_bleed,
        turns_at: cycles.iter().find(loses).map(|cycle| cycle.cycle),
        steady: steady.map(|waiting| Steady {
            residue: waiting.mass(content),
            assay: waiting.assay(content),
        }),
        limited_by: cycles.iter().any(limited).then_some(limit),
        cycles,
        retained,
        policies: policies.transpose()?.flatten(),
        build_up,
        kept_by_route: kept_by_route(case),
    })
}

/// What stays on the filter by route.
fn kept_by_route(case: &Case) -> Vec<KeptBy> {
    let route = case.material.campaign.factor_for(StandsFor::Route);
    let column = route.and_then(|route| case.material.runs.factor(&route.name));
    let Some(column) = column else {
        return Vec::new();
    };
    let runs = runs_of(case.yields, case.material.runs).into_iter();
    let runs = runs.filter_map(|(position, run)| Some((column.level(position)?, run)));
    kept_by(runs, case.reference.content_per_assay, case.confidence())
}
