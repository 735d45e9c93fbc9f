//! What the feed of each lot and of each run holds.
//!
//! In: the lots log, feed assays of single runs. Out: the assay of a lot, shared by all its runs, and of a charge.
//! This module never lets two runs of one lot have independent assays.

use std::collections::BTreeMap;

use super::book::{Book, Label};
use crate::caveat::{About, Caveat};
use crate::intake::{Logged, RunRow};
use crate::measured::{Measured, SourceFamily};

/// A lot whose assay is known.
#[derive(Debug, Clone)]
pub(super) struct Lot {
    pub assay: Measured,
    /// Impurities that use up oxidant, in the order of the campaign file [mass fraction].
    pub impurities: Vec<f64>,
}

/// Assays of all lots; one source a lot.
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
                kind: "assay without uncertainty",
                about: About::Lot(row.lot.clone()),
                seen: format!(
                    "the lots log states an assay of {} for lot {} without an uncertainty, as a supplier's claim would be",
                    assay.value, row.lot
                ),
                advice: "titrate the lot, or state what is known under `u_assay`; until then `[uncertainty] assay` counts, if it is there"
                    .into(),
            });
        }
        let label = Label::of(
            SourceFamily::AssayOfLot,
            format!("assay of lot {}", row.lot),
        );
        lots.insert(
            row.lot.clone(),
            Lot {
                assay: book.reading(assay, &["assay"], label),
                impurities: row.impurities.iter().map(|n| n.value).collect(),
            },
        );
    }
    lots
}

/// Assay of the fresh feed of one run, the heterogeneity of the bag included, or the reason why it is unknown.
pub(super) fn feed_assay(
    row: &RunRow,
    titrated: Option<&Measured>,
    lots: &BTreeMap<String, Lot>,
    book: &mut Book,
) -> Result<Measured, String> {
    if let Some(titrated) = titrated {
        return Ok(titrated.clone());
    }
    if let Some(assay) = row.feed_assay {
        return Ok(book.reading(assay, &["feed_assay", "assay"], "assay of the feed"));
    }
    if row.lots.is_empty() {
        return Err("neither a lot nor a feed assay is logged".into());
    }
    let mut mix = Measured::exact(0.0);
    for share in &row.lots {
        let lot = lots
            .get(&share.lot)
            .ok_or_else(|| format!("the assay of lot {} is not logged", share.lot))?;
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
