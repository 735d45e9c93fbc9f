//! Which balances do not close, and which entry is the likeliest to be wrong?
//!
//! In: balances of all runs. Out: [`Caveat`]s.
//! This module never corrects an entry.

use super::caveats::plus_minus;
use super::{Outcome, RunResult};
use crate::caveat::{BalancePart, Caveat, Doubt, PlusMinus, Suspect};
use crate::measured::Measured;

/// Below this many runs there is no middle to compare an entry with.
const FEWEST_TO_COMPARE: usize = 5;

/// What turns the middle distance from the middle into a standard deviation, for normal scatter.
/// Source: ISO 13528:2015, annex C.2.1 (scaled median absolute deviation).
const SCALED_MIDDLE_DISTANCE: f64 = 1.483;

/// One part of a balance.
struct Entry {
    part: BalancePart,
    of: fn(&RunResult) -> &Outcome,
}

const ENTRIES: [Entry; 3] = [
    Entry {
        part: BalancePart::Crops,
        of: |run| &run.balance.crops,
    },
    Entry {
        part: BalancePart::Liquor,
        of: |run| &run.balance.liquor,
    },
    Entry {
        part: BalancePart::Residue,
        of: |run| &run.balance.residue,
    },
];

/// Middle and robust standard deviation of some figures.
struct Usual {
    middle: f64,
    spread: f64,
}

impl Usual {
    fn of(mut values: Vec<f64>) -> Option<Usual> {
        if values.len() < FEWEST_TO_COMPARE {
            return None;
        }
        let middle = middle(&mut values);
        let mut distances: Vec<f64> = values.iter().map(|v| (v - middle).abs()).collect();
        Some(Usual {
            middle,
            spread: SCALED_MIDDLE_DISTANCE * self::middle(&mut distances),
        })
    }
}

fn middle(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    if values.len() % 2 == 1 {
        values[half]
    } else {
        (values[half - 1] + values[half]) / 2.0
    }
}

fn values(results: &[RunResult], of: fn(&RunResult) -> &Outcome) -> Vec<f64> {
    results
        .iter()
        .filter(|run| run.set_aside.is_none())
        .filter_map(|run| of(run).as_ref().ok().map(Measured::value))
        .collect()
}

/// Balances above 100 %, balances far below what this campaign usually closes to, and a loss that all runs show.
pub(super) fn of_balance(results: &[RunResult], coverage: f64) -> Vec<Caveat> {
    let usual = Usual::of(values(results, |run| &run.balance.closure));
    let mut caveats = Vec::new();
    for run in results {
        let Ok(closure) = &run.balance.closure else {
            continue;
        };
        if closure.value() - coverage * closure.uncertainty() > 1.0 {
            caveats.push(caveat(run, closure, results, Side::Above));
        } else if let Some(usual) = &usual {
            let scatter = closure.uncertainty().hypot(usual.spread);
            let all_measured = ENTRIES.iter().all(|entry| (entry.of)(run).is_ok());
            if all_measured
                && closure.value() + coverage_of_many(coverage) * scatter < usual.middle.min(1.0)
            {
                caveats.push(caveat(run, closure, results, Side::Below));
            }
        }
    }
    caveats.extend(usual.and_then(|usual| common_loss(results, &usual, coverage)));
    caveats
}

/// Among many runs some lie two standard deviations low by chance; half as much again is asked of a single one.
fn coverage_of_many(coverage: f64) -> f64 {
    1.5 * coverage
}

/// A loss or gain that the middle of all runs shows beyond its uncertainty.
fn common_loss(results: &[RunResult], usual: &Usual, coverage: f64) -> Option<Caveat> {
    let closures: Vec<&Measured> = results
        .iter()
        .filter(|run| run.set_aside.is_none())
        .filter_map(|run| run.balance.closure.as_ref().ok())
        .collect();
    let mean = Measured::sum(closures.iter().copied()) / closures.len() as f64;
    let own = usual.spread / (closures.len() as f64).sqrt();
    let uncertainty = mean.uncertainty().hypot(own);
    if (usual.middle - 1.0).abs() <= coverage * uncertainty {
        return None;
    }
    let missing = PlusMinus {
        value: 1.0 - usual.middle,
        half_width: coverage * uncertainty,
    };
    Some(Caveat::of_campaign(Doubt::BalanceOpenInAllRuns {
        runs: closures.len(),
        missing,
    }))
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Above,
    Below,
}

fn caveat(run: &RunResult, closure: &Measured, results: &[RunResult], side: Side) -> Caveat {
    let closure = plus_minus(closure);
    let suspect = likeliest(run, results, side);
    let doubt = match side {
        Side::Above => Doubt::ClosureAboveOne { closure, suspect },
        Side::Below => Doubt::ClosureBelowOthers { closure, suspect },
    };
    Caveat::of_run(&run.run, doubt)
}

/// The entry that is furthest off on the side of the fault, in spreads of the other runs.
fn likeliest(run: &RunResult, results: &[RunResult], side: Side) -> Option<Suspect> {
    let mut likeliest: Option<Suspect> = None;
    let mut furthest = 0.0;
    for entry in &ENTRIES {
        let Ok(own) = (entry.of)(run) else {
            continue;
        };
        let figures: Vec<f64> = results
            .iter()
            .filter(|other| {
                other.run != run.run && other.set_aside.is_none() && other.ceiling == run.ceiling
            })
            .filter_map(|other| (entry.of)(other).as_ref().ok().map(Measured::value))
            .collect();
        let Some(usual) = Usual::of(figures) else {
            continue;
        };
        let distance = match side {
            Side::Above => own.value() - usual.middle,
            Side::Below => usual.middle - own.value(),
        };
        let spread = usual.spread.max(own.uncertainty());
        if distance <= 0.0 || spread <= 0.0 {
            continue;
        }
        let off = distance / spread;
        if off > furthest {
            furthest = off;
            likeliest = Some(Suspect {
                part: entry.part,
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
