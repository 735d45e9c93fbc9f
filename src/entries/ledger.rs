//! Residue that was taken of runs, against what they left.
//!
//! In: all logs. Out: slips: residue that was not there, not there yet, or its own source; a residue too heavy for its run.
//! This module never guesses which run was meant.

use std::collections::{BTreeMap, BTreeSet};

use super::rules::{Kind, explained};
use crate::caveat::{Against, Likely, Part, Slip, Weight};
use crate::intake::{Logged, RunRow, charged, ledger};

/// Residue weighed out may exceed what was weighed in by so much before it is doubted: dust, moisture, rounding.
const WEIGHING: f64 = 1.02;

/// Beyond so many times what there was no scoop explains it.
const CANNOT_BE: f64 = 3.0;

/// Slips in where residue came from.
pub(super) fn of_residue(logged: &Logged) -> Vec<Slip> {
    let rows = logged.runs.by_name();
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
            let likely = explained(Kind::Residue, line.left, line.taken);
            let likely = likely.map(|(how, meant)| Likely::number(how, meant, "g"));
            let against = Against::MoreTaken {
                from: line.run,
                left: line.left,
                taken: line.taken,
            };
            found.push(slip(row, "residue_mass", weight, against).likely(likely));
        }
    }
    let circling = circling(&logged.runs.rows);
    for (row, _) in charged(logged) {
        let later = row.residue_from.iter().find(|from| {
            let date = |row: &RunRow| row.date.as_ref().map(|date| date.day);
            let of_source = rows.get(from.as_str()).and_then(|source| date(source));
            date(row).zip(of_source).is_some_and(|(own, of)| of > own)
        });
        let against = match later {
            Some(from) => Some(Against::FromLater { from: from.clone() }),
            None if circling.contains(row.run.as_str()) => Some(Against::Circle),
            None => None,
        };
        found.extend(against.map(|against| slip(row, "residue_from", Weight::Impossible, against)));
    }
    for residue in &logged.residues {
        let Some(row) = rows.get(residue.run.as_str()) else {
            continue;
        };
        let charge = |column| row.number(column).map_or(0.0, |of| of.value);
        let charged = charge("feed_mass") + charge("residue_mass");
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

/// Slips in where mother liquor came from: liquor that was not there, or not there yet.
pub(super) fn of_liquor(logged: &Logged) -> Vec<Slip> {
    let rows = logged.runs.by_name();
    let left = |run: &str| Some(rows.get(run)?.liquor_volume?.value);
    let mut taken: BTreeMap<&str, (f64, &RunRow)> = BTreeMap::new();
    let mut found = Vec::new();
    for row in &logged.runs.rows {
        let Some(charged) = row.liquor_in.filter(|volume| volume.value > 0.0) else {
            continue;
        };
        let from = || row.liquor_from.iter();
        let all: Option<f64> = from().map(|run| left(run)).sum();
        for run in from() {
            let share = all.filter(|all| *all > 0.0).zip(left(run));
            let part = share.map_or(0.0, |(all, of)| charged.value * of / all);
            let entry = taken.entry(run).or_insert((0.0, row));
            *entry = (entry.0 + part, row);
        }
        let day = |row: &RunRow| row.date.as_ref().map(|date| date.day);
        let of = |run: &String| rows.get(run.as_str()).and_then(|row| day(row));
        let is_later = |run: &&String| day(row).zip(of(run)).is_some_and(|(own, of)| of > own);
        if let Some(run) = from().find(is_later) {
            let against = Against::FromLater { from: run.clone() };
            found.push(liquor(row, "liquor_from", Weight::Impossible, against));
        }
    }
    for (from, (taken, row)) in taken {
        let Some(left) = left(from).filter(|left| taken > WEIGHING * left) else {
            continue;
        };
        let weight = match taken > CANNOT_BE * left {
            true => Weight::Impossible,
            false => Weight::Unlikely,
        };
        let from = from.to_string();
        let against = Against::MoreLiquorTaken { from, left, taken };
        found.push(liquor(row, "liquor_in", weight, against));
    }
    found
}

fn liquor(row: &RunRow, column: &str, weight: Weight, against: Against) -> Slip {
    let value = match column {
        "liquor_from" => row.liquor_from.join(";"),
        _ => row
            .liquor_in
            .map_or_else(String::new, |of| of.value.to_string()),
    };
    Slip {
        part: Some(Part::LiquorIn),
        ..Slip::new(&row.place, column, value, against)
            .of_run(&row.run)
            .trusted(weight)
    }
}

/// Runs whose residue comes from itself by way of others: those that are left when all with sources of their own are taken away, and
/// then all that nobody who is left took from.
fn circling(rows: &[RunRow]) -> BTreeSet<&str> {
    let with_sources = rows.iter().filter(|row| !row.residue_from.is_empty());
    let mut left: BTreeMap<&str, &RunRow> = with_sources.map(|row| (&*row.run, row)).collect();
    // Both ways, so that a chain that is logged in either order takes one pass.
    let order = || rows.iter().chain(rows.iter().rev());
    let mut before = left.len() + 1;
    while left.len() < before {
        before = left.len();
        for row in order() {
            let is_left = |from: &String| left.contains_key(from.as_str());
            if !row.residue_from.iter().any(is_left) {
                left.remove(row.run.as_str());
            }
        }
    }
    let mut before = left.len() + 1;
    let mut takers: BTreeMap<&str, usize> = BTreeMap::new();
    for from in left.values().flat_map(|row| &row.residue_from) {
        *takers.entry(from).or_default() += 1;
    }
    while left.len() < before {
        before = left.len();
        for row in order() {
            let run = row.run.as_str();
            if takers.get(run).copied().unwrap_or_default() == 0 && left.remove(run).is_some() {
                for from in &row.residue_from {
                    takers.entry(from).and_modify(|count| *count -= 1);
                }
            }
        }
    }
    left.into_keys().collect()
}

fn slip(row: &RunRow, column: &str, weight: Weight, against: Against) -> Slip {
    let mass = row.residue_mass.map(|mass| mass.value.to_string());
    let value = match column {
        "residue_from" => row.residue_from.join(";"),
        _ => mass.unwrap_or_default(),
    };
    Slip {
        part: Some(Part::Charged),
        ..Slip::new(&row.place, column, value, against)
            .of_run(&row.run)
            .trusted(weight)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_goes_round_is_in_a_circle() {
        let row = |run: &str, from: &[&str]| RunRow {
            run: run.into(),
            residue_from: from.iter().map(|from| from.to_string()).collect(),
            ..RunRow::default()
        };
        let rows = [
            row("a", &[]),
            row("b", &["a", "d"]),
            row("c", &["b"]),
            row("d", &["c"]),
            row("e", &["d"]),
            row("f", &["a"]),
        ];
        assert_eq!(circling(&rows), BTreeSet::from(["b", "c", "d"]));
    }
}
