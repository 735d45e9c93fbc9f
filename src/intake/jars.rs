//! Jars in which the residues of several runs were put together.
//!
//! In: all logs. Out: charges out of a jar, as shares of the runs whose residue was in it by then.
//! This module never lets a jar hold what was put into it later.

use std::collections::BTreeMap;

use super::logged::{Logged, RunRow};
use crate::error::{Error, ErrorKind};

/// Puts the runs of a jar, with their shares, in place of its name wherever residue was charged from it.
///
/// What is charged takes of each run in the jar in proportion to what is still there of it; runs go in the order of their dates, or
/// of the log where one has none.
///
/// # Assumes
/// What was put into a jar is mixed with all that is there.
pub(super) fn open(logged: &mut Logged, stops: &mut Vec<Error>) {
    let mut jars: BTreeMap<&str, Vec<(&str, f64)>> = BTreeMap::new();
    for residue in &logged.residues {
        let Some(jar) = residue.jar.as_deref() else {
            continue;
        };
        if logged.runs.rows.iter().any(|row| row.run == jar) {
            let message = format!("jar `{jar}` in {} has the name of a run", residue.place);
            let hint = "give the jar another name, so that `residue_from` says which is meant";
            let fault = residue.place.fault(ErrorKind::DuplicatedRun, message, hint);
            stops.push(fault.in_column("jar"));
            continue;
        }
        let held = jars.entry(jar).or_default();
        held.push((&residue.run, residue.mass.value));
    }
    if jars.is_empty() {
        return;
    }
    let rows = &logged.runs.rows;
    let mut order: Vec<usize> = (0..rows.len()).collect();
    let day = |row: &RunRow| row.date.as_ref().map(|date| date.day);
    if rows.iter().all(|row| row.date.is_some()) {
        order.sort_by_key(|position| day(&rows[*position]));
    }
    let left: BTreeMap<&str, f64> = {
        let rows = logged.residues.iter();
        rows.map(|row| (&*row.run, row.mass.value)).collect()
    };
    let mut made: Vec<&str> = Vec::new();
    let mut opened = Vec::new();
    for position in order {
        let row = &rows[position];
        let is_there = |(run, _): &&mut (&str, f64)| made.contains(run);
        if row
            .residue_from
            .iter()
            .any(|from| jars.contains_key(from.as_str()))
        {
            let mut parts: Vec<(String, f64)> = Vec::new();
            for (place, from) in row.residue_from.iter().enumerate() {
                let share = row.residue_shares.get(place);
                let mut of: Vec<(String, f64)> = match jars.get_mut(from.as_str()) {
                    None => vec![(
                        from.clone(),
                        left.get(from.as_str()).copied().unwrap_or(0.0),
                    )],
                    Some(held) => {
                        let held = held.iter_mut().filter(is_there);
                        held.map(|(run, mass)| (run.to_string(), *mass)).collect()
                    }
                };
                if of.is_empty() {
                    of.push((from.clone(), 0.0));
                }
                let all: f64 = of.iter().map(|(_, mass)| mass).sum();
                if let (Some(share), true) = (share, all > 0.0) {
                    of.iter_mut().for_each(|(_, mass)| *mass *= share / all);
                }
                parts.extend(of);
            }
            let all: f64 = parts.iter().map(|(_, part)| part).sum();
            let charged = row.residue_mass.map_or(0.0, |mass| mass.value);
            for (run, part) in &mut parts {
                *part = if all > 0.0 { *part / all } else { 0.0 };
                let held = jars.values_mut().flatten();
                for (_, mass) in held.filter(|(of, _)| of == run) {
                    *mass = (*mass - *part * charged).max(0.0);
                }
            }
            opened.push((position, parts, all > 0.0));
        }
        made.push(&row.run);
    }
    for (position, parts, is_known) in opened {
        let row = &mut logged.runs.rows[position];
        let (from, shares) = parts.into_iter().unzip();
        row.residue_from = from;
        row.residue_shares = if is_known { shares } else { Vec::new() };
    }
}
