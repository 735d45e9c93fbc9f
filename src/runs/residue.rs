//! What residue was taken out of each run, and what the residue charged into another held.
//!
//! In: the residues log, titres of residues, `residue_from`. Out: [`ResidueOut`] and the assay of a charge.
//! This module never invents an assay.

use std::collections::{BTreeMap, BTreeSet};

use super::book::Book;
use super::titration::{SampleKey, Titrated, as_weighed};
use crate::campaign::SampleBasis;
use crate::intake::{Logged, RunRow, TitreOf};
use crate::measured::Measured;

/// Residue taken out of one run.
#[derive(Debug, Clone)]
pub(super) struct ResidueOut {
    /// Mass [g].
    pub mass: Measured,
    /// Assay as weighed [mass fraction].
    pub assay: Option<Measured>,
    /// How the assay is known.
    pub origin: AssayOrigin,
}

/// How the assay of a residue is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum AssayOrigin {
    /// Logged or titrated.
    Measured,
    /// What neither crops nor mother liquor took.
    ByDifference,
}

/// Residues of all runs.
pub(super) fn residues_out(
    logged: &Logged,
    titrated: &Titrated,
    basis: SampleBasis,
    book: &mut Book,
) -> BTreeMap<String, ResidueOut> {
    logged
        .residues
        .iter()
        .map(|row| {
            let mass = book.reading(row.mass, &["residue_mass", "crop_mass"], "residue mass");
            let moisture = row
                .moisture
                .map(|moisture| book.reading(moisture, &["moisture"], "residue moisture"));
            let found = match row.assay {
                Some(assay) => {
                    Some(book.reading(assay, &["residue_assay", "assay"], "residue assay"))
                }
                None => titrated
                    .get(&SampleKey {
                        run: row.run.clone(),
                        of: TitreOf::Residue,
                    })
                    .cloned(),
            };
            let assay = found.map(|assay| as_weighed(assay, moisture.as_ref(), basis));
            (
                row.run.clone(),
                ResidueOut {
                    mass,
                    assay,
                    origin: AssayOrigin::Measured,
                },
            )
        })
        .collect()
}

/// Assay of the residue charged into a run, or the reason why it is unknown.
///
/// Residue of several runs is taken as mixed in the proportion of what each left.
pub(super) fn charged_assay(
    row: &RunRow,
    residues: &BTreeMap<String, ResidueOut>,
    book: &mut Book,
) -> Result<Measured, String> {
    if let Some(assay) = row.residue_assay {
        return Ok(book.reading(
            assay,
            &["residue_assay", "assay"],
            "assay of residue charged",
        ));
    }
    if row.residue_from.is_empty() {
        return Err("the residue charged has neither an assay nor a run it came from".into());
    }
    let mut content = Measured::exact(0.0);
    let mut mass = Measured::exact(0.0);
    for from in &row.residue_from {
        let residue = residues
            .get(from)
            .ok_or_else(|| format!("no residue of run {from} is logged"))?;
        let assay = residue
            .assay
            .as_ref()
            .ok_or_else(|| format!("the residue of run {from} has no assay"))?;
        content = &content + &(&residue.mass * assay);
        mass = &mass + &residue.mass;
    }
    if mass.value() <= 0.0 {
        return Err("the runs that the residue came from left none".into());
    }
    Ok(&content / &mass)
}

/// How often the residue charged into each run had been through: 0 without residue, 1 for residue of fresh feed.
/// `None` where it is not logged where the residue came from, or where it goes round in a circle.
pub(super) fn generations(rows: &[RunRow]) -> BTreeMap<String, Option<u32>> {
    let by_name: BTreeMap<&str, &RunRow> = rows.iter().map(|row| (row.run.as_str(), row)).collect();
    let mut known: BTreeMap<String, Option<u32>> = BTreeMap::new();
    for row in rows {
        let mut path = BTreeSet::new();
        generation(&row.run, &by_name, &mut known, &mut path);
    }
    known
}

fn generation<'r>(
    run: &'r str,
    rows: &BTreeMap<&str, &'r RunRow>,
    known: &mut BTreeMap<String, Option<u32>>,
    path: &mut BTreeSet<&'r str>,
) -> Option<u32> {
    if let Some(generation) = known.get(run) {
        return *generation;
    }
    let row = rows.get(run)?;
    let charged = row.residue_mass.is_some_and(|mass| mass.value > 0.0);
    let found = if !charged {
        Some(0)
    } else if row.residue_from.is_empty() || !path.insert(run) {
        None
    } else {
        row.residue_from
            .iter()
            .map(|from| generation(from, rows, known, path))
            .collect::<Option<Vec<u32>>>()
            .and_then(|all| all.into_iter().max())
            .map(|highest| highest + 1)
    };
    known.insert(run.to_string(), found);
    found
}
