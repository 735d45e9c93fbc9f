//! Doubts about the results of single runs.
//!
//! In: results of all runs. Out: [`Caveat`]s with the number that triggered each.
//! This module never changes a result, never corrects an entry and never leaves a run out.

use super::results::{Outcome, PurityBy, RunResult};
use crate::campaign::Campaign;
use crate::caveat::{AtTheBench, Caveat, Doubt, PlusMinus};
use crate::measured::{Distribution, Measured, Sources};

/// A result counts as beyond a bound when it lies more than two standard uncertainties past it (about 95 %).
pub const COVERAGE: f64 = 2.0;

/// A result with the half-width that doubts are judged by.
pub fn plus_minus(value: &Measured) -> PlusMinus {
    PlusMinus {
        value: value.value(),
        half_width: COVERAGE * value.uncertainty(),
    }
}

/// Doubts about each run, in run order.
pub(super) fn of_runs(results: &[RunResult]) -> Vec<Caveat> {
    let mut caveats = Vec::new();
    // Where no run has one, that is an answer and no doubt.
    if results
        .iter()
        .all(|run| run.contained.is_err() && run.theory_fresh.is_err())
    {
        return caveats;
    }
    for run in results {
        let mut doubt = |doubt| caveats.push(Caveat::of_run(&run.run, doubt));
        if let Err(reason) = &run.contained {
            let reason = reason.clone();
            doubt(Doubt::NoContainedYield { reason });
        }
    }
    caveats
}

/// A result that lies above one beyond its uncertainty.
pub fn above_one(outcome: &Outcome) -> Option<PlusMinus> {
    let result = outcome.as_ref().ok()?;
    (result.value() - COVERAGE * result.uncertainty() > 1.0).then(|| plus_minus(result))
}

/// One caveat for all residues whose content is what the balance left.
pub(super) fn by_difference(results: &[RunResult]) -> Option<Caveat> {
    let by_difference = results.iter().filter(|run| run.residue_by_difference);
    let runs: Vec<String> = by_difference.map(|run| run.run.clone()).collect();
    let of = results.len();
    (!runs.is_empty()).then(|| Caveat::of_campaign(Doubt::BalanceTakenForAssay { runs, of }))
}

/// One caveat for all runs with a crop whose purity is what moisture and impurities leave.
pub(super) fn purity_by_difference(campaign: &Campaign, results: &[RunResult]) -> Option<Caveat> {
    let known = || results.iter().filter(|run| run.purity.is_ok());
    let has_one = |run: &&RunResult| {
        let mut crops = run.crops.iter();
        crops.any(|crop| crop.purity_by == PurityBy::Difference)
    };
    let runs: Vec<String> = known().filter(has_one).map(|run| run.run.clone()).collect();
    let followed = campaign.impurities.iter();
    let doubt = AtTheBench::PurityByDifference {
        of: known().count(),
        looked_for: followed.map(|of| of.name.clone()).collect(),
        runs: runs.clone(),
    };
    (!runs.is_empty()).then(|| Caveat::of_campaign(Doubt::AtTheBench(doubt)))
}

/// One caveat for all inputs of the contained yields that no log states an uncertainty for.
pub(super) fn not_stated(results: &[RunResult], sources: &Sources) -> Option<Caveat> {
    let mut names: Vec<String> = Vec::new();
    let mut runs = 0;
    for run in results {
        let known = [&run.contained, &run.gross, &run.balance.closure];
        let parts = known.into_iter().flatten().flat_map(Measured::parts);
        let missing: Vec<&str> = parts
            .map(|(id, _)| sources.get(*id))
            .filter(|source| source.distribution == Distribution::NotStated)
            .map(|source| &*source.name)
            .collect();
        runs += usize::from(!missing.is_empty());
        names.extend(missing.into_iter().map(String::from));
    }
    names.sort();
    names.dedup();
    let sources = names;
    (!sources.is_empty())
        .then(|| Caveat::of_campaign(Doubt::InputWithoutUncertainty { sources, runs }))
}
