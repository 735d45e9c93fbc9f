//! Simulated yields beside the propagated ones.
//!
//! In: campaign, logs and the names of runs. Out: a [`CrossCheck`] of the contained yield of each.
//! This module never changes a result: it stands beside it.
//!
//! [`CrossCheck`]: crate::measured::CrossCheck

use std::collections::{BTreeMap, BTreeSet};

use super::normalise::{Simulation, work_out};
use super::results::{RunResult, Runs};
use crate::campaign::Campaign;
use crate::intake::Logged;
use crate::measured::{Draws, LANES, Measured, cross_check as compare};

/// An input with a relative uncertainty above this may bend a product too far for first order.
const UNCERTAIN_INPUT: f64 = 0.05;

/// An input with a smaller share of the variance cannot bend anything that matters.
const SHARE_THAT_MATTERS: f64 = 0.01;

/// Simulates the contained yields of some runs, and puts the outcome beside each; those without one are passed over.
///
/// # Source
/// JCGM 101:2008, 7.9 and 8.
pub fn cross_check(
    campaign: &Campaign,
    logged: &Logged,
    runs: &mut Runs,
    names: &[String],
    seed: u64,
) {
    let model = campaign.model.as_ref();
    let confidence = model.map_or(0.95, |model| model.confidence);
    let wanted = |run: &RunResult| names.contains(&run.run) && run.contained.is_ok();
    let asked: Vec<&RunResult> = runs.results.iter().filter(|run| wanted(run)).collect();
    let results: Vec<Measured> = asked
        .iter()
        .flat_map(|run| &run.contained)
        .cloned()
        .collect();
    let needed = only_needed(logged, names);
    let checks = compare(&results, &runs.sources, confidence, |batch| {
        let lanes = LANES;
        let draws = Draws { seed, batch, lanes };
        let scatter = runs.scatter;
        let simulation = Some(Simulation { draws, scatter });
        let (_, worked) = work_out(campaign, &needed, needed.left_out.clone(), simulation);
        let lanes = |run: &&RunResult| {
            let simulated = worked.results.iter().find(|found| found.run == run.run);
            let contained = simulated.and_then(|found| found.contained.as_ref().ok());
            contained.map_or_else(Vec::new, |contained| contained.lanes().to_vec())
        };
        asked.iter().map(lanes).collect()
    });
    let asked = runs.results.iter_mut().filter(|run| wanted(run));
    for (run, check) in asked.zip(checks) {
        run.cross_check = Some(check);
    }
}

/// The worst run of each lot, where an input that matters is more uncertain than 5 %.
pub fn doubtful(runs: &Runs) -> Vec<String> {
    let mut worst: BTreeMap<&str, (&str, f64)> = BTreeMap::new();
    for run in &runs.results {
        let Ok(contained) = &run.contained else {
            continue;
        };
        let variance = contained.uncertainty().powi(2);
        let parts = contained.parts().iter();
        let relative = parts
            .filter(|(_, c)| c * c > SHARE_THAT_MATTERS * variance)
            .filter_map(|(id, _)| runs.sources.get(*id).relative)
            .fold(0.0, f64::max);
        let lot = run.lot.as_deref().unwrap_or_default();
        let known = worst.get(lot).map_or(UNCERTAIN_INPUT, |known| known.1);
        if relative > known {
            worst.insert(lot, (&run.run, relative));
        }
    }
    worst.values().map(|worst| worst.0.to_string()).collect()
}

/// The logs cut down to the runs asked for and those whose residue they charged, however far back.
fn only_needed(logged: &Logged, names: &[String]) -> Logged {
    let rows = logged.runs.rows.iter();
    let sources: BTreeMap<&str, &[String]> = rows
        .map(|row| (row.run.as_str(), row.residue_from.as_slice()))
        .collect();
    let mut needed: BTreeSet<&str> = BTreeSet::new();
    let mut open: Vec<&str> = names.iter().map(String::as_str).collect();
    while let Some(run) = open.pop() {
        if needed.insert(run) {
            let from = sources.get(run).copied().unwrap_or_default();
            open.extend(from.iter().map(String::as_str));
        }
    }
    let mut cut = logged.clone();
    let keep = |run: &str| needed.contains(run);
    for column in &mut cut.runs.columns {
        column.keep_rows(|row| keep(&logged.runs.rows[row].run));
    }
    cut.runs.rows.retain(|row| keep(&row.run));
    cut.titres.retain(|row| keep(&row.run));
    cut.crops.retain(|row| keep(&row.run));
    cut.residues.retain(|row| keep(&row.run));
    cut
}
