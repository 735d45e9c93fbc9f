//! Doubts about the results of single runs, and about the balances of all.
//!
//! In: results of all runs. Out: [`Caveat`]s with the number that triggered each.
//! This module never changes a result, never corrects an entry and never leaves a run out.

use super::results::{Outcome, RunResult};
use crate::caveat::{BalancePart, Caveat, Doubt, PlusMinus, Suspect};
use crate::distributions::middle;
use crate::measured::{Distribution, Measured, Sources};

/// A result counts as beyond a bound when it lies more than two standard uncertainties past it (about 95 %).
pub(super) const COVERAGE: f64 = 2.0;

/// Among many runs some lie two standard uncertainties low by chance; half as much again is asked of a single one.
const COVERAGE_OF_MANY: f64 = 1.5 * COVERAGE;

/// Below this many runs there is no middle to compare an entry with.
const FEWEST_TO_COMPARE: usize = 5;

/// What turns the middle distance from the middle into a standard deviation, for normal scatter.
/// Source: ISO 13528:2015, annex C.2.1 (scaled median absolute deviation).
const SCALED_MIDDLE_DISTANCE: f64 = 1.483;

/// A result with the half-width that doubts are judged by.
pub(super) fn plus_minus(value: &Measured) -> PlusMinus {
    PlusMinus {
        value: value.value(),
        half_width: COVERAGE * value.uncertainty(),
    }
}

/// Doubts about each run, in run order.
pub(super) fn of_runs(results: &[RunResult]) -> Vec<Caveat> {
    let mut caveats = Vec::new();
    for run in results {
        let mut doubt = |doubt| caveats.push(Caveat::of_run(&run.run, doubt));
        if let Some(purity) = above_one(&run.purity) {
            doubt(Doubt::PurityAboveOne { purity });
        }
        if let Some(part) = run.of_ceiling.as_ref().and_then(above_one) {
            doubt(Doubt::AboveTheCeiling { part });
        }
        if let (Err(reason), true) = (&run.contained, run.theory_fresh.is_ok()) {
            let reason = reason.clone();
            doubt(Doubt::NoContainedYield { reason });
        }
    }
    caveats
}

/// A result that lies above one beyond its uncertainty.
fn above_one(outcome: &Outcome) -> Option<PlusMinus> {
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
            .map(|source| source.name.as_str())
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

/// The parts of a balance that are entries of the logs.
const PARTS: [BalancePart; 3] = [
    BalancePart::Crops,
    BalancePart::Liquor,
    BalancePart::Residue,
];

fn part(run: &RunResult, part: BalancePart) -> Option<&Measured> {
    let outcome = match part {
        BalancePart::Crops => &run.balance.crops,
        BalancePart::Liquor => &run.balance.liquor,
        BalancePart::Residue => &run.balance.residue,
    };
    outcome.as_ref().ok()
}

/// Middle and robust standard deviation of some figures.
struct Usual {
    middle: f64,
    spread: f64,
}

impl Usual {
    /// `s = 1.483·median |xᵢ − median x|`; `None` for fewer than five figures.
    ///
    /// # Source
    /// ISO 13528:2015, annex C.2.1.
    fn of(values: Vec<f64>) -> Option<Usual> {
        if values.len() < FEWEST_TO_COMPARE {
            return None;
        }
        let usual = middle(values.clone())?;
        let distances = values.iter().map(|value| (value - usual).abs()).collect();
        Some(Usual {
            middle: usual,
            spread: SCALED_MIDDLE_DISTANCE * middle(distances)?,
        })
    }
}

/// Balances above 100 %, balances far below what this campaign usually closes to, and a loss that all runs show.
pub(super) fn of_balance(results: &[RunResult]) -> Vec<Caveat> {
    let used = results.iter().filter(|run| run.set_aside.is_none());
    let closures: Vec<&Measured> = used.flat_map(|run| &run.balance.closure).collect();
    let usual = Usual::of(closures.iter().map(|closure| closure.value()).collect());
    let mut caveats = Vec::new();
    for run in results {
        let Ok(closure) = &run.balance.closure else {
            continue;
        };
        if let Some(closure) = above_one(&run.balance.closure) {
            let suspect = likeliest(run, results, 1.0);
            let doubt = Doubt::ClosureAboveOne { closure, suspect };
            caveats.push(Caveat::of_run(&run.run, doubt));
        } else if let Some(usual) = &usual {
            let scatter = closure.uncertainty().hypot(usual.spread);
            let low = closure.value() + COVERAGE_OF_MANY * scatter < usual.middle.min(1.0);
            if low && PARTS.iter().all(|of| part(run, *of).is_some()) {
                let closure = plus_minus(closure);
                let suspect = likeliest(run, results, -1.0);
                let doubt = Doubt::ClosureBelowOthers { closure, suspect };
                caveats.push(Caveat::of_run(&run.run, doubt));
            }
        }
    }
    caveats.extend(usual.and_then(|usual| common_loss(&closures, &usual)));
    caveats
}

/// A loss or gain that the middle of all runs shows beyond its uncertainty.
///
/// `|median − 1| > 2·√(u² + s²/n)`: `u` the propagated uncertainty of the mean closure, in which errors that runs share do not
/// average away, `s` the robust scatter of `n` closures.
fn common_loss(closures: &[&Measured], usual: &Usual) -> Option<Caveat> {
    let runs = closures.len();
    let mean = Measured::sum(closures.iter().copied()) / runs as f64;
    let own = usual.spread / (runs as f64).sqrt();
    let missing = PlusMinus {
        value: 1.0 - usual.middle,
        half_width: COVERAGE * mean.uncertainty().hypot(own),
    };
    ((usual.middle - 1.0).abs() > missing.half_width)
        .then(|| Caveat::of_campaign(Doubt::BalanceOpenInAllRuns { runs, missing }))
}

/// The entry that is furthest off on the side of the fault, 1 above and −1 below, in spreads of the other runs.
fn likeliest(run: &RunResult, results: &[RunResult], side: f64) -> Option<Suspect> {
    let mut likeliest = None;
    let mut furthest = 0.0;
    let others = || {
        results.iter().filter(|other| {
            other.run != run.run && other.set_aside.is_none() && other.ceiling == run.ceiling
        })
    };
    for of in PARTS {
        let figures = others().filter_map(|other| part(other, of).map(Measured::value));
        let (Some(own), Some(usual)) = (part(run, of), Usual::of(figures.collect())) else {
            continue;
        };
        let distance = side * (own.value() - usual.middle);
        let spread = usual.spread.max(own.uncertainty());
        if distance > 0.0 && spread > 0.0 && distance / spread > furthest {
            furthest = distance / spread;
            likeliest = Some(Suspect {
                part: of,
                own: own.value(),
                middle: usual.middle,
            });
        }
    }
    likeliest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_spread_of_normal_scatter_is_its_standard_deviation() {
        // Quartiles of the standard normal distribution lie at ±0.6745.
        let usual = Usual::of(vec![-2.0, -0.6745, 0.0, 0.6745, 2.0]).unwrap();
        assert_eq!(usual.middle, 0.0);
        assert!((usual.spread - 1.0).abs() < 0.001);
    }

    #[test]
    fn a_handful_of_runs_has_no_usual() {
        assert!(Usual::of(vec![1.0; 4]).is_none());
    }
}
