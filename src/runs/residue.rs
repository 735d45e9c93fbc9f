//! What residue was taken out of each run, and what the residue charged into another held.
//!
//! In: the residues log, titres of residues, `residue_from`. Out: [`ResidueOut`] and the assay of a charge.
//! This module never invents an assay.

use std::collections::{BTreeMap, BTreeSet};

use super::book::Book;
use super::titration::{SampleKey, Titrated, as_weighed};
use super::{Outcome, Reason};
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
) -> Outcome {
    if let Some(assay) = row.residue_assay {
        return Ok(book.reading(
            assay,
            &["residue_assay", "assay"],
            "assay of residue charged",
        ));
    }
    if row.residue_from.is_empty() {
        return Err(Reason::ResidueFromNowhere);
    }
    let mut content = Measured::exact(0.0);
    let mut mass = Measured::exact(0.0);
    for from in &row.residue_from {
        let residue = residues
            .get(from)
            .ok_or_else(|| Reason::NoResidueOf { run: from.clone() })?;
        let assay = residue
            .assay
            .as_ref()
            .ok_or_else(|| Reason::NoAssayOfResidueOf { run: from.clone() })?;
        content = &content + &(&residue.mass * assay);
        mass = &mass + &residue.mass;
    }
    if mass.value() <= 0.0 {
        return Err(Reason::NoResidueLeft);
    }
    Ok(&content / &mass)
}

/// How often the residue charged into each run had been through: 0 without residue, 1 for residue of fresh feed.
/// `None` where it is not logged where the residue came from, or where it goes round in a circle.
pub(super) fn generations(rows: &[RunRow]) -> BTreeMap<&str, Option<u32>> {
    let by_name: BTreeMap<&str, &RunRow> = rows.iter().map(|row| (row.run.as_str(), row)).collect();
    let mut known: BTreeMap<&str, Option<u32>> = BTreeMap::new();
    for row in rows {
        // A chain may be as long as the log, so it is followed on a list and not on the stack.
        let mut path = vec![row];
        let mut on_path = BTreeSet::from([row.run.as_str()]);
        while let Some(row) = path.last().copied() {
            let open = sources(row).find(|from| {
                by_name.contains_key(from) && !known.contains_key(from) && !on_path.contains(from)
            });
            match open.and_then(|from| by_name.get(from)) {
                Some(from) if !known.contains_key(row.run.as_str()) => {
                    on_path.insert(&from.run);
                    path.push(from);
                }
                _ => {
                    let found = generation(row, &known);
                    known.entry(&row.run).or_insert(found);
                    path.pop();
                }
            }
        }
    }
    known
}

/// Runs whose residue was charged; none where no residue was.
fn sources(row: &RunRow) -> impl Iterator<Item = &str> {
    let charged = charges_residue(row);
    row.residue_from
        .iter()
        .map(String::as_str)
        .filter(move |_| charged)
}

fn charges_residue(row: &RunRow) -> bool {
    row.residue_mass.is_some_and(|mass| mass.value > 0.0)
}

/// The generation of one run once those of its sources are known; one that is not known by now is in a circle.
fn generation(row: &RunRow, known: &BTreeMap<&str, Option<u32>>) -> Option<u32> {
    if !charges_residue(row) {
        return Some(0);
    }
    let all: Option<Vec<u32>> = sources(row)
        .map(|from| known.get(from).copied().flatten())
        .collect();
    all?.into_iter().max().map(|highest| highest + 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::LoggedNumber;

    fn row(run: &str, residue_from: &[&str]) -> RunRow {
        let mass = LoggedNumber {
            value: 10.0,
            uncertainty: None,
        };
        RunRow {
            run: run.into(),
            residue_mass: (!residue_from.is_empty()).then_some(mass),
            residue_from: residue_from.iter().map(|from| from.to_string()).collect(),
            ..RunRow::default()
        }
    }

    #[test]
    fn a_generation_is_one_more_than_the_highest_that_went_in() {
        let rows = [
            row("d", &["c", "a"]),
            row("c", &["b"]),
            row("b", &["a"]),
            row("a", &[]),
        ];
        let known = generations(&rows);
        let found: Vec<Option<u32>> = ["a", "b", "c", "d"].map(|run| known[run]).to_vec();
        assert_eq!(found, [Some(0), Some(1), Some(2), Some(3)]);
    }

    #[test]
    fn a_circle_and_what_it_feeds_have_no_generation() {
        let rows = [
            row("e", &["a", "b"]),
            row("a", &[]),
            row("b", &["c"]),
            row("c", &["b"]),
            row("f", &["lost"]),
        ];
        let known = generations(&rows);
        assert_eq!(known["a"], Some(0));
        for run in ["b", "c", "e", "f"] {
            assert_eq!(known[run], None, "{run}");
        }
    }
}
