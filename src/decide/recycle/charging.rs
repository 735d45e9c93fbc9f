//! What runs are charged with when residue is fed forward, in every run or less often.
//!
//! In: the reference charge, the shares that stay on the filter, when to charge, a bleed. Out: one [`Charge`] a charged run.
//! This module never charges more than the vessel holds, the declared limits allow or the runs have tried.

use super::case::Case;
use super::reference_charge::Reference;
use super::solids::{Retained, Waiting};
use crate::campaign::FactorKind;
use crate::decide::plannable::barred;
use crate::regression::BarredPart;

/// Runs after which no further charge is waited for, for each that is asked for.
const MOST_RUNS_A_CHARGE: u32 = 30;

/// When residue is charged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// Every so many runs, with what was left since the last charge.
    Every(u32),
    /// As soon as what was left makes the largest charge that is allowed.
    Full,
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

/// What a run is charged with.
#[derive(Debug, Clone, Copy)]
pub(super) struct Charge {
    /// Its number; the first run, which has no residue, is number 0.
    pub run: u32,
    /// Residue per fresh feed [g/g].
    pub ratio: f64,
    /// Share of what was collected, bleed taken off, that is charged.
    pub fits: f64,
    pub waiting: Waiting,
}

/// What fresh feed brings into a run.
pub(super) fn inflow(reference: &Reference) -> Waiting {
    let element = reference.feed_mass * reference.feed_content.value();
    Waiting {
        element,
        inert: reference.feed_mass - element / reference.content_per_assay,
    }
}

/// The largest ratio that may be charged [g/g], and what sets it: the largest ever run, what is declared, or
/// `solids of the vessel / fresh feed − 1`.
pub(super) fn most_ratio(case: &Case) -> (f64, Limit) {
    let reference = &case.reference;
    let plan = case.material.campaign.factor(&reference.factor);
    let declared = plan.and_then(|plan| match plan.kind {
        FactorKind::Amount { high, .. } => high,
        FactorKind::Choice { .. } => None,
    });
    let vessel = reference
        .vessel_solids
        .map(|solids| solids / reference.feed_mass - 1.0);
    let mut most = (reference.tried[1], Limit::Tried);
    let never = barred(case.material.campaign);
    let forbidden = never
        .iter()
        .filter_map(|never| never.alone(&reference.factor));
    let forbidden = forbidden.filter_map(BarredPart::allowed_below);
    let declared = forbidden.chain(declared).reduce(f64::min);
    for (ratio, limit) in [(declared, Limit::Declared), (vessel, Limit::Vessel)] {
        if let Some(ratio) = ratio.filter(|ratio| *ratio < most.0) {
            most = (ratio.max(0.0), limit);
        }
    }
    most
}

/// What so many charges hold; fewer where residue does not gather.
///
/// Each run leaves what [`Retained::next`] gives of its feed and charge. It is collected, all of it is charged when it is time,
/// and what does not fit then is thrown away with the bleed.
///
/// # Assumes
/// What stays on the filter keeps its shares from cycle to cycle.
pub(super) fn charges(
    case: &Case,
    retained: &Retained,
    when: When,
    bleed: f64,
    count: u32,
) -> Vec<Charge> {
    let reference = &case.reference;
    let inflow = inflow(reference);
    let (most, _) = most_ratio(case);
    let mut found = Vec::new();
    let (mut collected, mut charged) = (Waiting::default(), Waiting::default());
    for run in 1..=count.saturating_mul(MOST_RUNS_A_CHARGE) {
        collected = collected.and(retained.next(bleed, inflow, charged));
        charged = Waiting::default();
        let ratio = collected.mass(reference.content_per_assay) / reference.feed_mass;
        let is_time = match when {
            When::Every(runs) => run % runs == 0,
            When::Full => most > 0.0 && ratio >= most,
        };
        if !is_time {
            continue;
        }
        charged = match ratio > most {
            true => collected.times(most / ratio),
            false => collected,
        };
        collected = Waiting::default();
        found.push(Charge {
            run,
            ratio: ratio.min(most),
            fits: if ratio > most { most / ratio } else { 1.0 },
            waiting: charged,
        });
        if found.len() == count as usize {
            break;
        }
    }
    found
}
