//! The ratios that put a run on one footing.
//!
//! In: crops and theory. Out: [`Outcome`]s.
//! This module never fills a gap: what is missing stays missing, with its reason.

use super::{Charge, CropResult, Outcome, Reason, RunResult};
use crate::intake::RunRow;
use crate::measured::Measured;

/// A run of which nothing is known but what the runs log names.
pub(super) fn bare(row: &RunRow, reason: Reason) -> RunResult {
    let none = || -> Outcome { Err(reason.clone()) };
    let lots: Vec<&str> = row.lots.iter().map(|share| share.lot.as_str()).collect();
    RunResult {
        run: row.run.clone(),
        date: row.date.clone(),
        lot: (!lots.is_empty()).then(|| lots.join(";")),
        set_aside: row.set_aside.clone(),
        gross: none(),
        assay_adjusted: none(),
        contained: none(),
        contained_fresh: none(),
        purity: none(),
        theory_fresh: none(),
        theory_total: none(),
        balance: super::Balance {
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
        budget: Vec::new(),
        labour: row.labour.map(|labour| labour.value),
    }
}

pub(super) fn weighed(crops: &[CropResult]) -> Outcome {
    if crops.is_empty() {
        return Err(Reason::NoCrop);
    }
    Ok(Measured::sum(crops.iter().map(|crop| &crop.mass)))
}

pub(super) fn pure(crops: &[CropResult]) -> Outcome {
    let mut sum = Measured::exact(0.0);
    if crops.is_empty() {
        return Err(Reason::NoCrop);
    }
    for crop in crops {
        sum = &sum + &(&crop.mass * crop.purity.as_ref().map_err(Clone::clone)?);
    }
    Ok(sum)
}

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
