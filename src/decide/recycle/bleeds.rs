//! The share of the residue that is best thrown away.
//!
//! In: the reference charge, the shares that stay on the filter, when to charge. Out: [`BestBleed`].
//! This module never looks between two of the shares that it tries.

use super::answer::Untold;
use super::case::Case;
use super::charging::{When, charges};
use super::cycle_gain::Asked;
use super::solids::Retained;

/// Bleeds that are looked at for the best: every twentieth.
pub const BLEEDS: usize = 20;

/// The best of the bleeds looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BestBleed {
    /// Share thrown away.
    pub bleed: f64,
    /// Mean gain of a cycle [currency/run].
    pub mean_gain: f64,
}

/// The bleed with the largest mean gain, of those looked at; the smaller of two that are alike.
pub(super) fn best_of_bleeds(
    case: &Case,
    asked: &Asked,
    retained: &Retained,
    when: When,
    count: u32,
) -> Result<BestBleed, Untold> {
    let of = |bleed: f64| {
        let charges = charges(case, retained, when, bleed, count);
        let runs = charges.last().map_or(1, |charge| charge.run);
        let gains = charges.iter();
        let gains = gains.map(|charge| asked.plain_gain(charge.ratio, charge.waiting));
        Ok(BestBleed {
            bleed,
            mean_gain: gains.sum::<Result<f64, Untold>>()? / f64::from(runs),
        })
    };
    let mut best = of(0.0)?;
    for step in 1..=BLEEDS {
        let next = of(step as f64 / BLEEDS as f64)?;
        if next.mean_gain > best.mean_gain {
            best = next;
        }
    }
    Ok(best)
}
