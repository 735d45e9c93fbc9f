//! Do the propagated uncertainties hold when the readings themselves are simulated?
//!
//! In: campaign, logs and the names of runs. Out: a [`CrossCheck`] of the contained yield of each.
//! This module never changes a result: it stands beside it.

use std::collections::{BTreeMap, BTreeSet};

use super::Runs;
use super::normalise::{Simulation, work_out};
use crate::campaign::Campaign;
use crate::intake::Logged;
use crate::measured::{CrossCheck, Draws, Measured, cross_check as compare};

/// Simulates the contained yields of some runs; those without one are passed over.
///
/// # Source
/// JCGM 101:2008, 7.9 and 8.
pub fn cross_check(
    campaign: &Campaign,
    logged: &Logged,
    runs: &Runs,
    names: &[String],
    seed: u64,
) -> Vec<NamedCheck> {
    let confidence = campaign
        .model
        .as_ref()
        .map_or(0.95, |model| model.confidence);
    let wanted: Vec<&super::RunResult> = runs
        .results
        .iter()
        .filter(|run| names.contains(&run.run) && run.contained.is_ok())
        .collect();
    let results: Vec<Measured> = wanted
        .iter()
        .filter_map(|run| run.contained.as_ref().ok().cloned())
        .collect();
    let needed = only_needed(logged, names);
    let checks = compare(&results, &runs.sources, confidence, |batch| {
        let draws = Draws {
            seed,
            batch,
            lanes: crate::measured::LANES,
        };
        let mut left_out = needed.left_out.clone();
        let simulation = Simulation {
            draws,
            scatter: runs.scatter,
        };
        let worked = work_out(campaign, &needed, &mut left_out, Some(simulation));
        wanted
            .iter()
            .map(|run| {
                worked
                    .results
                    .iter()
                    .find(|simulated| simulated.run == run.run)
                    .and_then(|simulated| simulated.contained.as_ref().ok())
                    .map(|contained| contained.lanes().to_vec())
                    .unwrap_or_default()
            })
            .collect()
    });
    wanted
        .iter()
        .zip(checks)
        .map(|(run, check)| NamedCheck {
            run: run.run.clone(),
            check,
        })
        .collect()
}

/// An input with a relative uncertainty above this may bend a product too far for first order.
const UNCERTAIN_INPUT: f64 = 0.05;

/// An input with a smaller share of the variance cannot bend anything that matters.
const SHARE_THAT_MATTERS: f64 = 0.01;

/// The worst run of each lot, where an input that matters is more uncertain than 5 %.
pub fn doubtful(runs: &Runs) -> Vec<String> {
    let mut worst: BTreeMap<&str, Worst> = BTreeMap::new();
    for run in &runs.results {
        let Ok(contained) = &run.contained else {
            continue;
        };
        let variance = contained.uncertainty().powi(2);
        let relative = contained
            .parts()
            .iter()
            .filter(|(_, c)| c * c > SHARE_THAT_MATTERS * variance)
            .filter_map(|(id, _)| runs.sources.get(*id).relative)
            .fold(0.0, f64::max);
        let lot = run.lot.as_deref().unwrap_or_default();
        if relative > UNCERTAIN_INPUT
            && worst.get(lot).is_none_or(|known| relative > known.relative)
        {
            worst.insert(
                lot,
                Worst {
                    run: &run.run,
                    relative,
                },
            );
        }
    }
    worst.values().map(|worst| worst.run.to_string()).collect()
}

struct Worst<'r> {
    run: &'r str,
    relative: f64,
}

/// The check of one run.
#[derive(Debug, Clone)]
pub struct NamedCheck {
    /// The run.
    pub run: String,
    /// Simulation beside propagation.
    pub check: CrossCheck,
}

/// The logs cut down to the runs asked for and those whose residue they charged, however far back.
fn only_needed(logged: &Logged, names: &[String]) -> Logged {
    let sources: BTreeMap<&str, &[String]> = logged
        .runs
        .rows
        .iter()
        .map(|row| (row.run.as_str(), row.residue_from.as_slice()))
        .collect();
    let mut needed: BTreeSet<&str> = BTreeSet::new();
    let mut open: Vec<&str> = names.iter().map(String::as_str).collect();
    while let Some(run) = open.pop() {
        if needed.insert(run) {
            open.extend(
                sources
                    .get(run)
                    .into_iter()
                    .copied()
                    .flatten()
                    .map(String::as_str),
            );
        }
    }
    let mut cut = logged.clone();
    let keep = |run: &str| needed.contains(run);
    let kept: Vec<bool> = cut.runs.rows.iter().map(|row| keep(&row.run)).collect();
    for column in &mut cut.runs.columns {
        let mut kept = kept.iter();
        column
            .cells
            .retain(|_| kept.next().copied().unwrap_or(false));
    }
    cut.runs.rows.retain(|row| keep(&row.run));
    cut.titres.retain(|row| keep(&row.run));
    cut.crops.retain(|row| keep(&row.run));
    cut.residues.retain(|row| keep(&row.run));
    cut
}
