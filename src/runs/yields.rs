//! Yields, purity and balance of one run, as ratios of what was weighed and measured.
//!
//! In: crops, theory and what was measured of what came out, as grams of product that it is worth. Out: [`Outcome`]s and
//! [`Balance`].
//! This module never fills a gap: what is missing stays missing, with its reason.

use super::results::{Balance, CropResult, Outcome};
use crate::caveat::Reason;
use crate::measured::Measured;

/// Mass of all crops [g].
///
/// # Errors
/// [`Reason::NoCrop`] without any.
pub(super) fn weighed(crops: &[CropResult]) -> Outcome {
    if crops.is_empty() {
        return Err(Reason::NoCrop);
    }
    Ok(Measured::sum(crops.iter().map(|crop| &crop.mass)))
}

/// Pure product in all crops: `Σ m·w`, with masses `m` [g] and purities `w` [mass fraction].
///
/// # Errors
/// [`Reason::NoCrop`] without any; the reason of the first crop whose purity is unknown.
pub(super) fn pure(crops: &[CropResult]) -> Outcome {
    if crops.is_empty() {
        return Err(Reason::NoCrop);
    }
    crops.iter().try_fold(Measured::exact(0.0), |sum, crop| {
        Ok(&sum + &(&crop.mass * crop.purity.as_ref().map_err(Clone::clone)?))
    })
}

/// One result over another; errors that both share cancel.
///
/// # Errors
/// The reason of the one that is missing; [`Reason::NothingToCompareWith`] where the second is not above zero.
pub(super) fn ratio(of: &Outcome, to: &Outcome) -> Outcome {
    let (of, to) = (
        of.as_ref().map_err(Clone::clone)?,
        to.as_ref().map_err(Clone::clone)?,
    );
    if to.value() <= 0.0 {
        return Err(Reason::NothingToCompareWith);
    }
    Ok(of / to)
}

/// What a run gave and took, each in grams of product that its content is worth.
pub(super) struct Flows<'a> {
    /// Fresh feed and residue charged.
    pub charged: &'a Outcome,
    /// Pure product in the crops.
    pub crops: &'a Outcome,
    /// Product in the mother liquor left.
    pub liquor: &'a Outcome,
    /// What the residue taken out could still give.
    pub residue: &'a Outcome,
}

impl Flows<'_> {
    /// Each flow as a fraction of the charge; closed where at least one flow beside the crops was measured.
    pub fn balance(&self) -> Balance {
        let share = |flow: &Outcome| ratio(flow, self.charged);
        let (crops, liquor, residue) = (share(self.crops), share(self.liquor), share(self.residue));
        let closure = match (&crops, &liquor, &residue) {
            (Err(reason), _, _) => Err(reason.clone()),
            (Ok(_), Err(_), Err(_)) => Err(Reason::NothingBesideTheCrops),
            (Ok(_), _, _) => Ok(Measured::sum(
                [&crops, &liquor, &residue].into_iter().flatten(),
            )),
        };
        let unaccounted = closure
            .clone()
            .map(|closure| &Measured::exact(1.0) - &closure);
        Balance {
            crops,
            liquor,
            residue,
            closure,
            unaccounted,
        }
    }
}
