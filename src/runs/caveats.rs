//! Which results of single runs are doubtful.
//!
//! In: results of all runs. Out: [`Caveat`]s with the number that triggered each.
//! This module never changes a result and never leaves a run out.

use super::{Outcome, RunResult, suspicion};
use crate::caveat::{Caveat, Doubt, PlusMinus};
use crate::measured::{Distribution, Measured, Sources};

/// A result counts as beyond a bound when it lies more than two standard uncertainties past it (about 95 %).
pub(super) const COVERAGE: f64 = 2.0;

/// Doubts about each run, in run order.
pub(super) fn of_runs(results: &[RunResult]) -> Vec<Caveat> {
    let mut caveats = Vec::new();
    for run in results {
        if let Some(purity) = above_one(&run.purity) {
            let purity = plus_minus(purity);
            caveats.push(Caveat::of_run(&run.run, Doubt::PurityAboveOne { purity }));
        }
        if let Some(Ok(part)) = &run.of_ceiling
            && part.value() - COVERAGE * part.uncertainty() > 1.0
        {
            let part = plus_minus(part);
            caveats.push(Caveat::of_run(&run.run, Doubt::AboveTheCeiling { part }));
        }
        if let (Err(reason), true) = (&run.contained, run.theory_fresh.is_ok()) {
            let reason = reason.clone();
            caveats.push(Caveat::of_run(&run.run, Doubt::NoContainedYield { reason }));
        }
    }
    caveats
}

fn above_one(outcome: &Outcome) -> Option<&Measured> {
    outcome
        .as_ref()
        .ok()
        .filter(|m| m.value() - COVERAGE * m.uncertainty() > 1.0)
}

/// A result with the half-width that doubts are judged by.
pub(super) fn plus_minus(value: &Measured) -> PlusMinus {
    PlusMinus {
        value: value.value(),
        half_width: COVERAGE * value.uncertainty(),
    }
}

/// One caveat for all residues whose content is what the balance left.
pub(super) fn by_difference(results: &[RunResult]) -> Option<Caveat> {
    let runs: Vec<String> = results
        .iter()
        .filter(|run| run.residue_by_difference)
        .map(|run| run.run.clone())
        .collect();
    let of = results.len();
    (!runs.is_empty()).then(|| Caveat::of_campaign(Doubt::BalanceTakenForAssay { runs, of }))
}

/// Doubts about the balance of each run, and of all together.
pub(super) fn of_balance(results: &[RunResult]) -> Vec<Caveat> {
    suspicion::of_balance(results, COVERAGE)
}

/// One caveat for all inputs of the contained yields that no log states an uncertainty for.
pub(super) fn not_stated(results: &[RunResult], sources: &Sources) -> Option<Caveat> {
    let mut names: Vec<String> = Vec::new();
    let mut runs = 0;
    for run in results {
        let mut touched = false;
        for outcome in [&run.contained, &run.gross, &run.balance.closure] {
            let Ok(result) = outcome else { continue };
            for (id, _) in result.parts() {
                let source = sources.get(*id);
                if source.distribution == Distribution::NotStated {
                    touched = true;
                    if !names.contains(&source.name) {
                        names.push(source.name.clone());
                    }
                }
            }
        }
        runs += usize::from(touched);
    }
    if names.is_empty() {
        return None;
    }
    names.sort();
    let sources = names;
    Some(Caveat::of_campaign(Doubt::InputWithoutUncertainty {
        sources,
        runs,
    }))
}
