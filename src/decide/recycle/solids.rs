//! Shares of what is charged that stay on the filter, and where they lead when it goes round.
//!
//! In: what each run was charged with and what it left. Out: [`Retained`], and the steady state of a loop with bleed.
//! This module never takes the shares beyond the runs that they come from.

use std::collections::BTreeMap;

use crate::distributions::coverage_factor;
use crate::runs::RunResult;

/// Shares of what is charged that come back as residue.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shares {
    /// Of what fresh feed brings.
    pub of_feed: f64,
    /// Of what charged residue brings.
    pub of_residue: f64,
}

/// What stays on the filter of what goes in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Retained {
    /// Of the followed element.
    pub element: Shares,
    /// Of everything else that is solid.
    pub inert: Shares,
    /// Runs that the shares come from.
    pub runs: usize,
}

/// What stays on the filter with one level of the route, of all that is charged.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptBy {
    /// The level.
    pub level: String,
    /// Runs with a closed balance.
    pub runs: usize,
    /// Share of the followed element, with half the width of its interval.
    pub element: [f64; 2],
    /// Share of everything else, with half the width of its interval.
    pub inert: [f64; 2],
}

/// Fewest runs of a level that tell how its shares scatter.
const FEWEST_OF_A_LEVEL: usize = 3;

/// What stays on the filter, level by level, of runs that are named with theirs; nothing where fewer than two levels tell.
pub(super) fn kept_by<'a>(
    runs: impl Iterator<Item = (&'a str, &'a RunResult)>,
    content_per_assay: f64,
    confidence: f64,
) -> Vec<KeptBy> {
    let mut levels: BTreeMap<&str, (Vec<Flow>, Vec<Flow>)> = BTreeMap::new();
    for (level, run) in runs {
        if let Some((element, inert)) = flows(run, content_per_assay) {
            let of = levels.entry(level).or_default();
            of.0.push(element);
            of.1.push(inert);
        }
    }
    let told = levels.into_iter();
    let told = told.filter(|(_, (element, _))| element.len() >= FEWEST_OF_A_LEVEL);
    let found: Vec<KeptBy> = told
        .filter_map(|(level, (element, inert))| {
            Some(KeptBy {
                level: level.to_string(),
                runs: element.len(),
                element: kept(&element, confidence)?,
                inert: kept(&inert, confidence)?,
            })
        })
        .collect();
    match found.len() {
        0 | 1 => Vec::new(),
        _ => found,
    }
}

/// All that comes out over all that goes in, with half the width of its interval from the scatter of the runs.
///
/// `r = Σ o / Σ i`, `u² = n / (n − 1) · Σ (o − r i)² / (Σ i)²`, expanded by `t` with `n − 1` degrees of freedom.
///
/// # Source
/// Cochran, Sampling Techniques, 3rd ed., 1977, 6.4 (ratio estimate), without finite population; from memory.
fn kept(flows: &[Flow], confidence: f64) -> Option<[f64; 2]> {
    let count = flows.len() as f64;
    let into = |flow: &Flow| flow.feed + flow.residue;
    let all: f64 = flows.iter().map(into).sum();
    let share = flows.iter().map(|flow| flow.out).sum::<f64>() / all;
    let squares = flows
        .iter()
        .map(|flow| (flow.out - share * into(flow)).powi(2));
    let error = (count / (count - 1.0) * squares.sum::<f64>()).sqrt() / all;
    Some([share, coverage_factor(confidence, count - 1.0)? * error])
}

/// Residue that waits for the next run.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Waiting {
    /// Product that it can give \[g\].
    pub element: f64,
    /// Everything else \[g\].
    pub inert: f64,
}

impl Waiting {
    /// All of it \[g\].
    pub fn mass(self, content_per_assay: f64) -> f64 {
        self.element / content_per_assay + self.inert
    }

    /// Its assay [mass fraction]; 0 of nothing.
    pub fn assay(self, content_per_assay: f64) -> f64 {
        let mass = self.mass(content_per_assay);
        if mass > 0.0 {
            self.element / content_per_assay / mass
        } else {
            0.0
        }
    }

    /// Both together.
    pub fn and(self, other: Self) -> Self {
        Self {
            element: self.element + other.element,
            inert: self.inert + other.inert,
        }
    }

    /// A share of it.
    pub fn times(self, share: f64) -> Self {
        Self {
            element: share * self.element,
            inert: share * self.inert,
        }
    }
}

impl Retained {
    /// The shares that fit runs best; `None` where none has a closed balance with the mass and assay of its residue.
    pub(super) fn of<'a>(
        runs: impl Iterator<Item = &'a RunResult>,
        content_per_assay: f64,
    ) -> Option<Self> {
        let flows = runs.filter_map(|run| flows(run, content_per_assay));
        let (element, inert): (Vec<Flow>, Vec<Flow>) = flows.unzip();
        Some(Retained {
            element: shares(&element)?,
            inert: shares(&inert)?,
            runs: element.len(),
        })
    }

    /// What the next run is charged with.
    pub(super) fn next(&self, bleed: f64, inflow: Waiting, charged: Waiting) -> Waiting {
        Waiting {
            element: next_charge(self.element, bleed, inflow.element, charged.element),
            inert: next_charge(self.inert, bleed, inflow.inert, charged.inert),
        }
    }

    /// What is charged in the long run; `None` where it grows without end.
    pub(super) fn steady(&self, bleed: f64, inflow: Waiting) -> Option<Waiting> {
        Some(Waiting {
            element: steady_state(self.element, bleed, inflow.element)?,
            inert: steady_state(self.inert, bleed, inflow.inert)?,
        })
    }
}

/// What one run shows: in with the feed, in with residue, out.
struct Flow {
    feed: f64,
    residue: f64,
    out: f64,
}

/// Flows of the followed element and of everything else.
fn flows(run: &RunResult, content_per_assay: f64) -> Option<(Flow, Flow)> {
    if !run.balance.closes() {
        return None;
    }
    let total = run.theory_total.as_ref().ok()?.value();
    let fresh = run.theory_fresh.as_ref().ok()?.value();
    let out = run.balance.residue.as_ref().ok()?.value() * total;
    let (feed_mass, out_mass) = (run.charge.feed_mass?, run.charge.residue_out?);
    let residue = match &run.charge.residue_theory {
        None => 0.0,
        Some(content) => content.as_ref().ok()?.value(),
    };
    let inert = Flow {
        feed: feed_mass - fresh / content_per_assay,
        residue: run.charge.residue_mass - residue / content_per_assay,
        out: out_mass - out / content_per_assay,
    };
    let element = Flow {
        feed: fresh,
        residue,
        out,
    };
    Some((element, inert))
}

/// Least squares through the origin, `out = a · feed + b · residue`; one share for both where the two do not differ, or where
/// a share would lie outside 0 to 1.
///
/// # Assumes
/// Runs count alike, and the shares do not depend on how much is charged.
fn shares(flows: &[Flow]) -> Option<Shares> {
    let sum = |of: fn(&Flow) -> f64| flows.iter().map(of).sum::<f64>();
    let (ff, fr) = (sum(|f| f.feed * f.feed), sum(|f| f.feed * f.residue));
    let (rr, fo) = (sum(|f| f.residue * f.residue), sum(|f| f.feed * f.out));
    let ro = sum(|f| f.residue * f.out);
    let determinant = ff * rr - fr * fr;
    if determinant > 1e-9 * ff * rr {
        let found = Shares {
            of_feed: (fo * rr - ro * fr) / determinant,
            of_residue: (ro * ff - fo * fr) / determinant,
        };
        let usable = |share: f64| (0.0..1.0).contains(&share);
        if usable(found.of_feed) && usable(found.of_residue) {
            return Some(found);
        }
    }
    let both = sum(|f| f.feed) + sum(|f| f.residue);
    let one = (sum(|f| f.out) / both).clamp(0.0, 1.0);
    (both > 0.0).then_some(Shares {
        of_feed: one,
        of_residue: one,
    })
}

/// What is charged from cycle to cycle in the long run, of something that each run brings `inflow` of with its fresh feed.
///
/// A run leaves `a · inflow + b · x` on the filter, of which the share `1 − bleed` is charged into the next, so that
/// `x' = (1 − bleed)(a · inflow + b · x)`. This stands still at `x* = (1 − bleed) a · inflow / (1 − (1 − bleed) b)`, and
/// every step brings `x` nearer to it by the factor `(1 − bleed) b`, which is below 1.
///
/// # Units and shapes
/// In the unit of the inflow; `None` where nothing is bled and all of it stays, so that it grows without end.
/// # Source
/// Balance of a loop with a purge: fixed point of the recursion above, derived here.
fn steady_state(shares: Shares, bleed: f64, inflow: f64) -> Option<f64> {
    let kept = 1.0 - bleed;
    let rest = 1.0 - kept * shares.of_residue;
    (rest > 0.0).then(|| kept * shares.of_feed * inflow / rest)
}

/// What the next run is charged with.
fn next_charge(shares: Shares, bleed: f64, inflow: f64, charged: f64) -> f64 {
    (1.0 - bleed) * (shares.of_feed * inflow + shares.of_residue * charged)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_loop_comes_to_the_steady_state_that_its_formula_gives() {
        let shares = Shares {
            of_feed: 0.62,
            of_residue: 0.92,
        };
        for bleed in [0.0, 0.05, 0.2, 0.9, 1.0] {
            let expected = steady_state(shares, bleed, 75.0).unwrap();
            let mut charged = 0.0;
            for _ in 0..2_000 {
                charged = next_charge(shares, bleed, 75.0, charged);
            }
            // Ten digits were asked for; rounding leaves fifteen.
            assert!(
                (charged - expected).abs() <= 1e-13 * expected,
                "bleed {bleed}: {charged} against {expected}"
            );
        }
        // By hand: 0.8 * 0.62 * 75 / (1 - 0.8 * 0.92) = 37.2 / 0.264.
        let by_hand = 37.2 / 0.264;
        assert!((steady_state(shares, 0.2, 75.0).unwrap() / by_hand - 1.0).abs() < 1e-14);
    }

    #[test]
    fn what_all_stays_and_is_never_bled_grows_without_end() {
        let shares = Shares {
            of_feed: 0.5,
            of_residue: 1.0,
        };
        assert_eq!(steady_state(shares, 0.0, 75.0), None);
    }

    #[test]
    fn a_share_of_all_that_goes_in_has_the_error_of_a_ratio() {
        let flow = |feed: f64, out: f64| Flow {
            feed,
            residue: 0.0,
            out,
        };
        // By hand: 18 / 60 = 0.3; residuals 0, 1, -1; u = sqrt(3 / 2 * 2) / 60; t at 95 % with 2 degrees of freedom is 4.302653.
        let [share, half] =
            kept(&[flow(20.0, 6.0), flow(20.0, 7.0), flow(20.0, 5.0)], 0.95).unwrap();
        assert!((share - 0.3).abs() < 1e-12);
        assert!((half - 4.302652729911275 * 3.0_f64.sqrt() / 60.0).abs() < 1e-9);
    }

    #[test]
    fn shares_are_found_from_exact_flows() {
        let flow = |feed: f64, residue: f64| Flow {
            feed,
            residue,
            out: 0.6 * feed + 0.9 * residue,
        };
        let found = shares(&[flow(70.0, 0.0), flow(72.0, 30.0), flow(69.0, 60.0)]).unwrap();
        assert!((found.of_feed - 0.6).abs() < 1e-12 && (found.of_residue - 0.9).abs() < 1e-12);
    }
}
