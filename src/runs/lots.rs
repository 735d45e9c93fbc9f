//! Assays of lots and of the fresh feed of each run.
//!
//! In: the lots log, feed assays of single runs. Out: the assay of a lot, shared by all its runs, and of a charge.
//! This module never lets two runs of one lot have independent assays.

use std::collections::BTreeMap;

use super::reading_errors::{Book, Label, Spread};
use super::results::{AssayOf, CombinedAssay, Outcome};
use crate::campaign::UncertaintyPlan;
use crate::caveat::{About, Caveat, Doubt, Reason};
use crate::distributions::mean;
use crate::intake::{Logged, LoggedNumber, LotRow, RunRow};
use crate::measured::{Consensus, Measured};

/// A lot whose assay is known.
#[derive(Debug, Clone)]
pub(super) struct Lot {
    pub assay: Measured,
    /// Impurities that use up oxidant, in the order of the campaign file [mass fraction].
    pub impurities: Vec<f64>,
}

/// Chance below which assays count as further apart than their own errors explain.
const DISAGREE: f64 = 0.05;

/// Assays of all lots by name [mass fraction]; one source a lot, so that what all its runs share cancels between them. Several
/// assays of a lot are one consensus, which is listed in `combined`.
pub(super) fn lots(
    logged: &Logged,
    plan: &UncertaintyPlan,
    book: &mut Book,
    caveats: &mut Vec<Caveat>,
    combined: &mut Vec<CombinedAssay>,
) -> BTreeMap<String, Lot> {
    let mut lots = BTreeMap::new();
    for row in &logged.lots {
        let Some(first) = row.assay else {
            continue;
        };
        let mut doubt = |doubt: Doubt| {
            caveats.push(Caveat {
                about: About::Lot(row.lot.clone()),
                doubt,
            });
        };
        let one = match row.further.is_empty() {
            true => Err(first),
            false => consensus(row, first, plan, &mut doubt),
        };
        let assay = match one {
            Err(assay) => {
                if assay.uncertainty.is_none() {
                    doubt(Doubt::AssayWithoutUncertainty { assay: assay.value });
                }
                book.reading(assay, &["assay"], Label::of_lot(&row.lot))
            }
            Ok(of_lot) => {
                let of = &of_lot.consensus;
                // Without a variance between sources their own errors are all there is, and these are stated.
                let degrees = match of.between > 0.0 {
                    true => of.degrees_of_freedom(),
                    false => f64::INFINITY,
                };
                let spread = Spread::normal(of.uncertainty, degrees);
                let assay = book.own(of.value, Label::of_lot(&row.lot), spread);
                combined.push(of_lot);
                assay
            }
        };
        let lot = Lot {
            assay,
            impurities: row.impurities.clone(),
        };
        lots.insert(row.lot.clone(), lot);
    }
    lots
}

/// What several assays of a lot say together; where not two of them say how sure they are, the one that does, or their mean.
fn consensus(
    row: &LotRow,
    first: LoggedNumber,
    plan: &UncertaintyPlan,
    doubt: &mut impl FnMut(Doubt),
) -> Result<CombinedAssay, LoggedNumber> {
    let stated = plan.of("assay");
    let stated = stated.map(|stated| stated.standard_uncertainty());
    let further = row.further.iter();
    let further = further.map(|further| (&further.source, further.assay));
    let sources = std::iter::once((&row.source, first)).chain(further);
    let mut sources: Vec<AssayOf> = sources
        .map(|(source, assay)| AssayOf {
            source: source.clone(),
            value: assay.value,
            uncertainty: assay.uncertainty.or(stated).filter(|u| *u > 0.0),
            weight: 0.0,
        })
        .collect();
    let known = sources.iter();
    let known = known.filter_map(|of| Some((of.value, of.uncertainty?)));
    let Some(consensus) = Consensus::of(&known.collect::<Vec<_>>()) else {
        let values: Vec<f64> = sources.iter().map(|of| of.value).collect();
        return Err(LoggedNumber::plain(mean(&values)));
    };
    let total = consensus.uncertainty.powi(-2);
    for of in &mut sources {
        let variance = of.uncertainty.map(|u| u * u + consensus.between);
        of.weight = variance.map_or(0.0, |variance| variance.recip() / total);
    }
    let without = sources.iter().filter(|of| of.uncertainty.is_none());
    let without: Vec<String> = without.map(|of| of.source.clone()).collect();
    if !without.is_empty() {
        doubt(Doubt::AssayWithoutWeight { sources: without });
    }
    let chance = consensus.chance().filter(|chance| *chance < DISAGREE);
    if let Some(chance) = chance {
        doubt(Doubt::AssaysDisagree {
            assays: consensus.estimates,
            between: consensus.between.sqrt(),
            chance,
        });
    }
    Ok(CombinedAssay {
        lot: row.lot.clone(),
        sources,
        consensus,
    })
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
        return Ok(book.reading(
            assay,
            &["feed_assay", "assay"],
            Label::of_assay("assay of the feed"),
        ));
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
