//! Which results of single runs are doubtful.
//!
//! In: results of all runs. Out: [`Caveat`]s with the number that triggered each.
//! This module never changes a result and never leaves a run out.

use super::{Outcome, RunResult, suspicion};
use crate::caveat::{About, Caveat};
use crate::measured::{Distribution, Measured, Sources};

/// A result counts as beyond a bound when it lies more than two standard uncertainties past it (about 95 %).
pub(super) const COVERAGE: f64 = 2.0;

/// Doubts about each run, in run order.
pub(super) fn of_runs(results: &[RunResult]) -> Vec<Caveat> {
    let mut caveats = Vec::new();
    for run in results {
        if let Some(purity) = above_one(&run.purity) {
            caveats.push(Caveat {
                kind: "purity above 1",
                about: About::Run(run.run.clone()),
                seen: format!(
                    "purity of run {} is {}, above 100 % beyond its uncertainty",
                    run.run,
                    percent(purity)
                ),
                advice: "look for effloresced hydrate, a substance that uses up titrant too, or a wrong sample mass".into(),
            });
        }
        if let Some(Ok(part)) = &run.of_ceiling
            && part.value() - COVERAGE * part.uncertainty() > 1.0
        {
            caveats.push(Caveat {
                kind: "above the ceiling",
                about: About::Run(run.run.clone()),
                seen: format!(
                    "run {} gave {} of what the stoichiometry of its route allows",
                    run.run,
                    percent(part)
                ),
                advice: "check the ceiling in the campaign file, the assay of the feed and the crop masses".into(),
            });
        }
        if let (Err(reason), true) = (&run.contained, run.theory_fresh.is_ok()) {
            caveats.push(Caveat {
                kind: "no contained yield",
                about: About::Run(run.run.clone()),
                seen: format!("run {} has no contained yield: {reason}", run.run),
                advice: "titrate the crop while some of it is left; until then the run is in no model of yield or purity".into(),
            });
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

fn percent(value: &Measured) -> String {
    format!(
        "{:.1} ± {:.1} %",
        100.0 * value.value(),
        100.0 * COVERAGE * value.uncertainty()
    )
}

/// One caveat for all residues whose content is what the balance left.
pub(super) fn by_difference(results: &[RunResult]) -> Option<Caveat> {
    let names: Vec<&str> = results
        .iter()
        .filter(|run| run.residue_by_difference)
        .map(|run| run.run.as_str())
        .collect();
    (!names.is_empty()).then(|| Caveat {
        kind: "balance taken for an assay",
        about: About::Campaign,
        seen: format!(
            "the residue of {} of {} runs was not assayed, so its content was taken as what crops and liquor left of the charge, losses included",
            names.len(),
            results.len()
        ),
        advice: format!("assay the residue: its content is an upper bound until then, and a run that charges it looks worse than it was (runs {})", names.join(", ")),
    })
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
    Some(Caveat {
        kind: "input without uncertainty",
        about: About::Campaign,
        seen: format!(
            "no uncertainty is stated for {} in {runs} runs, so the ± of these runs is a lower bound",
            names.join(", ")
        ),
        advice: "add them to `[uncertainty]` in the campaign file, or log `u_` columns".into(),
    })
}
