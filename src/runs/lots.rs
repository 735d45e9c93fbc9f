//! Assays of lots and of the fresh feed of each run.
//!
//! In: the lots log, feed assays of single runs. Out: the assay of a lot, shared by all its runs, and of a charge.
//! This module never lets two runs of one lot have independent assays.

use std::collections::BTreeMap;

use super::reading_errors::{Book, Label};
use super::results::Outcome;
use crate::caveat::{About, Caveat, Doubt, Reason};
use crate::intake::{Logged, RunRow};
use crate::measured::Measured;

/// A lot whose assay is known.
#[derive(Debug, Clone)]
pub(super) struct Lot {
    pub assay: Measured,
    /// Impurities that use up oxidant, in the order of the campaign file [mass fraction].
    pub impurities: Vec<f64>,
}

/// Assays of all lots by name [mass fraction]; one source a lot, so that what all its runs share cancels between them.
pub(super) fn lots(
    logged: &Logged,
    book: &mut Book,
    caveats: &mut Vec<Caveat>,
) -> BTreeMap<String, Lot> {
    let mut lots = BTreeMap::new();
    for row in &logged.lots {
        let Some(assay) = row.assay else {
            continue;
        };
        if assay.uncertainty.is_none() {
            caveats.push(Caveat {
                about: About::Lot(row.lot.clone()),
                doubt: Doubt::AssayWithoutUncertainty { assay: assay.value },
            });
        }
        let lot = Lot {
            assay: book.reading(assay, &["assay"], Label::of_lot(&row.lot)),
            impurities: row.impurities.clone(),
        };
        lots.insert(row.lot.clone(), lot);
    }
    lots
}

/// Assay of the fresh feed of one run [mass fraction], the heterogeneity of the bag included.
///
/// Titrated for the run, else logged for it, else `Σ sⱼ·wⱼ + e`: shares `s` and assays `w` of its lots, `e` an error of
/// mean zero with the uncertainty that `sampling` states.
///
/// # Assumes
/// All runs of a lot share the error of its assay; each has its own error of sampling unless the campaign shares it.
/// # Errors
/// [`Reason::NoLot`] where neither is logged, [`Reason::NoAssayOfLot`] for a lot without an assay.
/// # Source
/// JCGM 100:2008, 5.1.2; mixing by mass.
pub(super) fn feed_assay(
    row: &RunRow,
    titrated: Option<&Measured>,
    lots: &BTreeMap<String, Lot>,
    book: &mut Book,
) -> Outcome {
    if let Some(titrated) = titrated {
        return Ok(titrated.clone());
    }
    if let Some(assay) = row.feed_assay {
        return Ok(book.reading(assay, &["feed_assay", "assay"], "assay of the feed"));
    }
    if row.lots.is_empty() {
        return Err(Reason::NoLot);
    }
    let mut mix = Measured::exact(0.0);
    for share in &row.lots {
        let lot = lots.get(&share.lot).ok_or_else(|| Reason::NoAssayOfLot {
            lot: share.lot.clone(),
        })?;
        mix = &mix + &(lot.assay.clone() * share.share);
    }
    match book.error("sampling", "sampling of the bag") {
        Some(error) => Ok(&mix + &error),
        None => Ok(mix),
    }
}

/// Mass fraction of one impurity in the fresh feed of a run; 0 where no lot is logged.
pub(super) fn impurity(row: &RunRow, lots: &BTreeMap<String, Lot>, position: usize) -> f64 {
    row.lots
        .iter()
        .filter_map(|share| Some(share.share * lots.get(&share.lot)?.impurities.get(position)?))
        .sum()
}
