//! Yields, purity and balance of one run, as ratios of what was weighed and measured.
//!
//! In: crops, theory and what was measured of what came out, as grams of product that it is worth. Out: [`Outcome`]s and
//! [`Balance`].
//! This module never fills a gap: what is missing stays missing, with its reason.

use super::results::{Balance, Charge, CropResult, Outcome, RunResult};
use crate::caveat::Reason;
use crate::intake::RunRow;
use crate::measured::Measured;

/// A run of which nothing is known but what the runs log names.
pub(super) fn bare(row: &RunRow, reason: Reason) -> RunResult {
    let none = || -> Outcome { Err(reason.clone()) };
    let lots: Vec<&str> = row.lots.iter().map(|share| share.lot.as_str()).collect();
    RunResult {
        run: row.run.clone(),
        date: row.date.as_ref().map(|date| date.text.to_string()),
        day: row.date.as_ref().map(|date| date.day),
        lot: (!lots.is_empty()).then(|| lots.join(";")),
        set_aside: row.set_aside.clone(),
        gross: none(),
        assay_adjusted: none(),
        contained: none(),
        contained_fresh: none(),
        purity: none(),
        theory_fresh: none(),
        theory_total: none(),
        balance: Balance {
            crops: none(),
            liquor: none(),
            residue: none(),
            closure: none(),
            unaccounted: none(),
        },
        ceiling: None,
        of_ceiling: None,
        residue_assay: None,
        residue_by_difference: false,
        oxidant_excess: None,
        charge: Charge::default(),
        crops: Vec::new(),
        impurities: Vec::new(),
        budget: Vec::new(),
        labour: row.labour.map(|labour| labour.value),
        titrants: Vec::new(),
        cross_check: None,
    }
}

/// Mass of all crops \[g\].
///
/// # Errors
/// [`Reason::NoCrop`] without any.
pub(super) fn weighed(crops: &[CropResult]) -> Outcome {
    if crops.is_empty() {
        return Err(Reason::NoCrop);
    }
    Ok(Measured::sum(crops.iter().map(|crop| &crop.mass)))
}

/// Pure product in all crops: `Σ m·w`, with masses `m` \[g\] and purities `w` [mass fraction].
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

/// Each flow as a fraction of the charge; closed where at least one flow beside the crops was measured.
///
/// Charged are fresh feed and residue; all flows are in grams of product that their content is worth.
/// Closure `(crops + liquor + residue) / charged`, what was not measured left out; unaccounted is one less closure.
///
/// # Errors
/// Of the closure: the reason why the crops are unknown, else [`Reason::NothingBesideTheCrops`].
/// # Source
/// Conservation of the followed element.
pub(super) fn balance(charged: &Outcome, [crops, liquor, residue]: [&Outcome; 3]) -> Balance {
    let share = |flow: &Outcome| ratio(flow, charged);
    let (crops, liquor, residue) = (share(crops), share(liquor), share(residue));
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
