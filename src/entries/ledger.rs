//! Residue that was taken of runs, against what they left.
//!
//! In: all logs. Out: slips: residue that was not there, not there yet, or its own source; a residue too heavy for its run.
//! This module never guesses which run was meant.

use std::collections::BTreeMap;

use super::rules::{Kind, explained};
use crate::caveat::{Against, Likely, Part, Slip, Weight};
use crate::intake::{Logged, RunRow};

/// Residue weighed out may exceed what was weighed in by so much before it is doubted: dust, moisture, rounding.
const WEIGHING: f64 = 1.02;

/// Beyond so many times what there was no scoop explains it.
const CANNOT_BE: f64 = 3.0;

/// One line of the ledger: a run that left residue, and what others took of it \[g\].
struct LedgerLine {
    /// The run that left it.
    run: String,
    /// What it left.
    left: f64,
    /// What all later runs took.
    taken: f64,
    /// The last run that took of it.
    last: String,
}

/// What each run left and what was taken of it, in the order of the residues log. What is charged of several runs is counted on each
/// by the part that it left.
fn ledger(logged: &Logged) -> Vec<LedgerLine> {
    let left: BTreeMap<&str, f64> = logged
        .residues
        .iter()
        .map(|row| (row.run.as_str(), row.mass.value))
        .collect();
    let mut taken: BTreeMap<&str, (f64, &str)> = BTreeMap::new();
    for (row, charged) in charged(logged) {
        let there: Option<f64> = row
            .residue_from
            .iter()
            .map(|from| left.get(from.as_str()).copied())
            .sum();
        let Some(there) = there.filter(|there| *there > 0.0) else {
            continue;
        };
        for from in &row.residue_from {
            let entry = taken.entry(from).or_insert((0.0, &row.run));
            entry.0 += charged * left[from.as_str()] / there;
            entry.1 = &row.run;
        }
    }
    let rows = logged.residues.iter();
    rows.map(|row| {
        let (taken, last) = taken.get(row.run.as_str()).copied().unwrap_or((0.0, ""));
        LedgerLine {
            run: row.run.clone(),
            left: row.mass.value,
            taken,
            last: last.to_string(),
        }
    })
    .collect()
}

fn charged(logged: &Logged) -> impl Iterator<Item = (&RunRow, f64)> {
    let rows = logged.runs.rows.iter();
    rows.filter_map(|row| Some((row, row.residue_mass?.value)))
        .filter(|(_, charged)| *charged > 0.0)
}

/// Slips in where residue came from.
pub(super) fn of_residue(logged: &Logged) -> Vec<Slip> {
    let rows: BTreeMap<&str, &RunRow> = logged
        .runs
        .rows
        .iter()
        .map(|row| (row.run.as_str(), row))
        .collect();
    let mut found = Vec::new();
    for line in ledger(logged) {
        let Some(row) = rows.get(line.last.as_str()) else {
            continue;
        };
        if line.taken > WEIGHING * line.left {
            let weight = match line.taken > CANNOT_BE * line.left {
                true => Weight::Impossible,
                false => Weight::Unlikely,
            };
            let against = Against::MoreTaken {
                from: line.run,
                left: line.left,
                taken: line.taken,
            };
            let likely = explained(Kind::Residue, line.left, line.taken);
            found.push(Slip {
                likely: likely.map(|(how, meant)| Likely::number(how, meant, "g")),
                ..slip(row, "residue_mass", weight, against)
            });
        }
    }
    for (row, _) in charged(logged) {
        let later = row.residue_from.iter().find(|from| {
            let date = |row: &RunRow| row.date.as_ref().map(|date| date.day);
            let of_source = rows.get(from.as_str()).and_then(|source| date(source));
            date(row).zip(of_source).is_some_and(|(own, of)| of > own)
        });
        let against = match later {
            Some(from) => Some(Against::FromLater { from: from.clone() }),
            None => goes_round(row, &rows).then_some(Against::Circle),
        };
        found.extend(against.map(|against| slip(row, "residue_from", Weight::Impossible, against)));
    }
    for residue in &logged.residues {
        let Some(row) = rows.get(residue.run.as_str()) else {
            continue;
        };
        let charge =
            |number: Option<crate::intake::LoggedNumber>| number.map_or(0.0, |of| of.value);
        let charged = charge(row.feed_mass) + charge(row.residue_mass);
        if charged > 0.0 && residue.mass.value > charged {
            let against = Against::HeavierThanCharge { charged };
            found.push(Slip {
                place: residue.place.clone(),
                value: residue.mass.value.to_string(),
                part: Some(Part::Residue),
                ..slip(row, "residue_mass", Weight::Unlikely, against)
            });
        }
    }
    found
}

/// Whether the residue of a run comes from itself by way of others.
fn goes_round(row: &RunRow, rows: &BTreeMap<&str, &RunRow>) -> bool {
    let mut seen: Vec<&str> = Vec::new();
    let mut next: Vec<&str> = row.residue_from.iter().map(String::as_str).collect();
    while let Some(from) = next.pop() {
        if from == row.run {
            return true;
        }
        if seen.contains(&from) {
            continue;
        }
        seen.push(from);
        let source = rows.get(from).into_iter();
        next.extend(source.flat_map(|row| row.residue_from.iter().map(String::as_str)));
    }
    false
}

fn slip(row: &RunRow, column: &str, weight: Weight, against: Against) -> Slip {
    let value = match column {
        "residue_from" => row.residue_from.join(";"),
        _ => row
            .residue_mass
            .map_or_else(String::new, |mass| mass.value.to_string()),
    };
    Slip {
        place: row.place.clone(),
        column: column.into(),
        value,
        run: Some(row.run.clone()),
        weight,
        against,
        likely: None,
        part: Some(Part::Charged),
        accepted: false,
    }
}
