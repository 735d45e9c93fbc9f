//! Residue taken out of each run, and what the residue charged into another held.
//!
//! In: the residues log, titres of residues, `residue_from`. Out: [`ResidueOut`] and the assay of a charge.
//! This module never invents an assay.

use std::collections::{BTreeMap, BTreeSet};

use super::reading_errors::{Book, Label};
use super::results::Outcome;
use super::titration::{Titrated, as_weighed};
use crate::campaign::SampleBasis;
use crate::caveat::{Part, Reason};
use crate::intake::{Logged, RunRow, TitreOf};
use crate::measured::Measured;
use crate::name::Name;

/// Residue taken out of one run.
#[derive(Debug, Clone)]
pub(super) struct ResidueOut {
    /// Mass \[g\].
    pub mass: Measured,
    /// Assay as weighed [mass fraction].
    pub assay: Option<Measured>,
    /// The same of the residue free of moisture; `None` where its moisture is not known.
    pub dry: Option<Measured>,
    /// Whether the assay is what neither crops nor mother liquor took, not a measurement.
    pub by_difference: bool,
}

/// Residues of all runs by name, masses \[g\] and assays as weighed [mass fraction], logged or else titrated.
pub(super) fn residues_out(
    logged: &Logged,
    titrated: &Titrated,
    basis: SampleBasis,
    book: &mut Book,
) -> BTreeMap<Name, ResidueOut> {
    let rows = logged.runs.rows.iter();
    let withheld = rows.filter(|row| row.withheld.contains(&Part::ResidueAssay));
    let withheld: BTreeSet<&str> = withheld.map(|row| row.run.as_str()).collect();
    let out = logged.residues.iter().map(|row| {
        let mass = book.reading(row.mass, &["residue_mass", "crop_mass"], "residue mass");
        let moisture = row
            .moisture
            .map(|moisture| book.reading(moisture, &["moisture"], "residue moisture"));
        let logged = row.assay.map(|assay| {
            book.reading(
                assay,
                &["residue_assay", "assay"],
                Label::of_assay("residue assay"),
            )
        });
        let titrated = || titrated.get(&(row.run.clone(), TitreOf::Residue)).cloned();
        let found = logged.or_else(titrated);
        let found = found.filter(|_| !withheld.contains(row.run.as_str()));
        let dry = match (&found, basis, &moisture) {
            (Some(assay), SampleBasis::Dried, _) => Some(assay.clone()),
            (Some(assay), SampleBasis::AsWeighed, Some(moisture)) => {
                Some(assay / &(&Measured::exact(1.0) - moisture))
            }
            _ => None,
        };
        let residue = ResidueOut {
            mass,
            assay: found.map(|assay| as_weighed(assay, moisture.as_ref(), basis)),
            dry,
            by_difference: false,
        };
        (row.run.clone(), residue)
    });
    out.collect()
}

/// Product that a residue taken out could still give \[g\].
pub(super) fn content(residue: Option<&ResidueOut>, per_feed: &Measured) -> Outcome {
    let residue = residue.ok_or(Reason::ResidueNotMeasured)?;
    let assay = residue.assay.as_ref().ok_or(Reason::ResidueNotAssayed)?;
    Ok(&(&residue.mass * assay) * per_feed)
}

/// Assay of the residue charged into a run, or the reason why it is unknown.
///
/// Logged for the run, else `Σ mⱼ·wⱼ / Σ mⱼ`, with masses `m` \[g\] and assays `w` [mass fraction] of the residues of the runs
/// that it came from, or their shares in the charge where those are logged. With the moisture `h` of the charge, `w` is the assay
/// free of moisture times `1 − h`.
///
/// # Assumes
/// Without shares residue of several runs is mixed in the proportion of what each left.
/// # Errors
/// [`Reason::ResidueFromNowhere`] where the log names no run, [`Reason::NoResidueOf`] and [`Reason::NoAssayOfResidueOf`] for
/// one without, [`Reason::NoMoistureOfResidueOf`] for one whose moisture is needed, [`Reason::NoResidueLeft`] where they left nothing.
pub(super) fn charged_assay(
    row: &RunRow,
    residues: &BTreeMap<Name, ResidueOut>,
    basis: SampleBasis,
    book: &mut Book,
) -> Outcome {
    let moisture = row.residue_moisture;
    let moisture =
        moisture.map(|of| book.reading(of, &["moisture"], "moisture of residue charged"));
    if let Some(assay) = row.residue_assay {
        let names = ["residue_assay", "assay"];
        let assay = book.reading(assay, &names, Label::of_assay("assay of residue charged"));
        return Ok(as_weighed(assay, moisture.as_ref(), basis));
    }
    if row.residue_from.is_empty() {
        return Err(Reason::ResidueFromNowhere);
    }
    let mut content = Measured::exact(0.0);
    let mut mass = Measured::exact(0.0);
    for (position, from) in row.residue_from.iter().enumerate() {
        let residue = residues
            .get(from.as_str())
            .ok_or_else(|| Reason::NoResidueOf { run: from.clone() })?;
        let assay = residue
            .assay
            .as_ref()
            .ok_or_else(|| Reason::NoAssayOfResidueOf { run: from.clone() })?;
        let assay = match &moisture {
            None => assay.clone(),
            Some(moisture) => {
                let dry = residue.dry.as_ref();
                let dry = dry.ok_or_else(|| Reason::NoMoistureOfResidueOf { run: from.clone() })?;
                dry * &(&Measured::exact(1.0) - moisture)
            }
        };
        let share = row.residue_shares.get(position);
        let part = share.map_or_else(|| residue.mass.clone(), |share| Measured::exact(*share));
        content = &content + &(&part * &assay);
        mass = &mass + &part;
    }
    if mass.value() <= 0.0 {
        return Err(Reason::NoResidueLeft);
    }
    Ok(&content / &mass)
}

/// How often the residue charged into each run had been through: 0 without residue, 1 for residue of fresh feed.
/// Not there where it is not logged where the residue came from, or where it goes round in a circle.
///
/// `g = 1 + max gⱼ` over the runs `j` that the residue came from.
pub(super) fn generations(rows: &[RunRow]) -> BTreeMap<&str, u32> {
    let mut known = BTreeMap::new();
    loop {
        let before = known.len();
        // Both ways, so that a chain that is logged in either order takes one pass.
        for row in rows.iter().chain(rows.iter().rev()) {
            if !known.contains_key(row.run.as_str())
                && let Some(generation) = generation(row, &known)
            {
                known.insert(row.run.as_str(), generation);
            }
        }
        if known.len() == before {
            return known;
        }
    }
}

/// The generation of one run where those of all its sources are known.
fn generation(row: &RunRow, known: &BTreeMap<&str, u32>) -> Option<u32> {
    if row.residue_mass.is_none_or(|mass| mass.value <= 0.0) {
        return Some(0);
    }
    let sources = row.residue_from.iter();
    let all: Option<Vec<u32>> = sources
        .map(|from| known.get(from.as_str()).copied())
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
        assert_eq!(["a", "b", "c", "d"].map(|run| known[run]), [0, 1, 2, 3]);
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
        assert_eq!(known["a"], 0);
        for run in ["b", "c", "e", "f"] {
            assert_eq!(known.get(run), None, "{run}");
        }
    }
}
