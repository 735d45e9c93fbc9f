//! Which results of single runs are doubtful.
//!
//! In: results of all runs. Out: [`Caveat`]s with the number that triggered each.
//! This module never changes a result and never leaves a run out.

use super::{Outcome, RunResult};
use crate::caveat::{About, Caveat};
use crate::measured::{Distribution, Measured, Sources};

/// A result counts as beyond a bound when it lies more than two standard uncertainties past it (about 95 %).
const COVERAGE: f64 = 2.0;

/// Below this many runs there is no middle to compare an entry with.
const FEWEST_TO_COMPARE: usize = 5;

/// Doubts about each run, in run order.
pub(super) fn of_runs(results: &[RunResult]) -> Vec<Caveat> {
    let mut caveats = Vec::new();
    for run in results {
        if let Some(closure) = above_one(&run.balance.closure) {
            caveats.push(closure_above_one(run, closure, results));
        }
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
        if let (Err(reason), false) = (&run.contained, run.crops.is_empty()) {
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
        100.0 * value.uncertainty()
    )
}

/// A balance above 100 % with the entry that is furthest from what the other runs show.
fn closure_above_one(run: &RunResult, closure: &Measured, results: &[RunResult]) -> Caveat {
    let entries: [(&str, fn(&RunResult) -> &Outcome); 3] = [
        ("crop masses or purity", |run| &run.balance.crops),
        ("mother liquor", |run| &run.balance.liquor),
        ("residue", |run| &run.balance.residue),
    ];
    let mut likeliest: Option<Suspect> = None;
    for (entry, of) in entries {
        let Ok(own) = of(run) else {
            continue;
        };
        let mut others: Vec<f64> = results
            .iter()
            .filter(|other| other.run != run.run)
            .filter_map(|other| of(other).as_ref().ok().map(Measured::value))
            .collect();
        if others.len() < FEWEST_TO_COMPARE {
            continue;
        }
        others.sort_by(f64::total_cmp);
        let middle = others[others.len() / 2];
        let excess = own.value() - middle;
        if excess > likeliest.as_ref().map_or(0.0, |suspect| suspect.excess) {
            likeliest = Some(Suspect {
                entry,
                own: own.value(),
                middle,
                excess,
            });
        }
    }
    let suspicion = match likeliest {
        Some(suspect) => format!(
            "; furthest off is the {}: {:.1} % of the charge where the other runs have {:.1} % in the middle",
            suspect.entry,
            100.0 * suspect.own,
            100.0 * suspect.middle
        ),
        None => String::new(),
    };
    Caveat {
        kind: "closure above 1",
        about: About::Run(run.run.clone()),
        seen: format!(
            "more came out of run {} than went in: {} of the charge{suspicion}",
            run.run,
            percent(closure)
        ),
        advice: "look for a mistyped mass, volume or concentration in the entries of that run"
            .into(),
    }
}

struct Suspect {
    entry: &'static str,
    own: f64,
    middle: f64,
    excess: f64,
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
