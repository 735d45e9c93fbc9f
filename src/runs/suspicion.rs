//! Which balances do not close, and which entry is the likeliest to be wrong?
//!
//! In: balances of all runs. Out: [`Caveat`]s.
//! This module never corrects an entry.

use super::{Outcome, RunResult};
use crate::caveat::{About, Caveat};
use crate::measured::Measured;

/// Below this many runs there is no middle to compare an entry with.
const FEWEST_TO_COMPARE: usize = 5;

/// What turns the middle distance from the middle into a standard deviation, for normal scatter.
/// Source: ISO 13528:2015, annex C.2.1 (scaled median absolute deviation).
const SCALED_MIDDLE_DISTANCE: f64 = 1.483;

/// One part of a balance.
struct Entry {
    name: &'static str,
    of: fn(&RunResult) -> &Outcome,
}

const ENTRIES: [Entry; 3] = [
    Entry {
        name: "crop masses or purity",
        of: |run| &run.balance.crops,
    },
    Entry {
        name: "mother liquor",
        of: |run| &run.balance.liquor,
    },
    Entry {
        name: "residue",
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
    let (what, advice) = if usual.middle < 1.0 {
        (
            "is accounted for nowhere",
            "look for splashes, wash water, filters and vessels that keep some back; until then every yield may be low by that much at most",
        )
    } else {
        (
            "came out beyond what went in",
            "look at the assays of feed and liquor and at the balance for an error that all runs share",
        )
    };
    Some(Caveat {
        kind: "balance open in all runs",
        about: About::Campaign,
        seen: format!(
            "in the middle of {} runs {:.1} ± {:.1} % of the charge {what}",
            closures.len(),
            100.0 * (1.0 - usual.middle).abs(),
            100.0 * coverage * uncertainty
        ),
        advice: advice.into(),
    })
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Above,
    Below,
}

fn caveat(run: &RunResult, closure: &Measured, results: &[RunResult], side: Side) -> Caveat {
    let found = format!(
        "{:.1} ± {:.1} % of the charge",
        100.0 * closure.value(),
        100.0 * super::caveats::COVERAGE * closure.uncertainty()
    );
    let suspicion = match likeliest(run, results, side) {
        Some(suspect) => format!(
            "; furthest off is the {}: {:.1} % of the charge where the other runs have {:.1} % in the middle",
            suspect.entry,
            100.0 * suspect.own,
            100.0 * suspect.middle
        ),
        None => String::new(),
    };
    let (kind, seen) = match side {
        Side::Above => (
            "closure above 1",
            format!(
                "more came out of run {} than went in: {found}{suspicion}",
                run.run
            ),
        ),
        Side::Below => (
            "closure below the others",
            format!(
                "less came out of run {} than out of the others: {found}{suspicion}",
                run.run
            ),
        ),
    };
    Caveat {
        kind,
        about: About::Run(run.run.clone()),
        seen,
        advice: "look for a mistyped mass, volume or concentration in the entries of that run"
            .into(),
    }
}

struct Suspect {
    entry: &'static str,
    own: f64,
    middle: f64,
    off: f64,
}

/// The entry that is furthest off on the side of the fault, in spreads of the other runs.
fn likeliest(run: &RunResult, results: &[RunResult], side: Side) -> Option<Suspect> {
    let mut likeliest: Option<Suspect> = None;
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
        if likeliest.as_ref().is_none_or(|known| off > known.off) {
            likeliest = Some(Suspect {
                entry: entry.name,
                own: own.value(),
                middle: usual.middle,
                off,
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
