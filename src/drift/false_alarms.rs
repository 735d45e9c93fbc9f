//! Chances that charts flag in a process that does not drift, and limits that hold them.
//!
//! In: how many runs are charted, how their limits come about, and the errors that runs share. Out: [`FalseAlarms`], by
//! simulation.
//! This module never looks at a logged value.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use super::chart::points;
use super::in_control::{InControl, in_control, moving_ranges, range_of_two};
use super::statistics::{ChartKind, Limited, cumulative_sums, steady_limits, weighted_means};
use crate::campaign::Drift;
use crate::distributions::mean;
use crate::regression::RunErrors;
use crate::seeded::Seeded;

/// Most logs simulated: the chance of a flag is then known to within a quarter of a point (one standard error).
const MOST_LOGS: usize = 20_000;

/// Runs simulated in all, so that long logs take no longer.
const RUNS_IN_ALL: usize = 300_000;

/// Fewest logs simulated; the standard error of a chance of one half is then 3.5 points.
const FEWEST_LOGS: usize = 200;

/// Seed of all runs, those that share errors too: what both draw by luck then cancels where they are compared. With a seed
/// each and 2,000 logs, limits stood so far out in all logs of 24 runs that two thirds of the flags stated came.
const SEED: u64 = 78_704;

/// Standard errors by which two simulated chances must differ before limits are moved for it.
const STANDARD_ERRORS: f64 = 2.0;

/// Chances that a log of this length has a flag though nothing drifts.
#[derive(Debug, Clone, PartialEq)]
pub struct FalseAlarms {
    /// For each kind of chart asked about, in their order.
    pub by_chart: Vec<f64>,
    /// For all of them together.
    pub any: f64,
    /// For each kind the variance that its limits count besides that of one run, in the squared unit of what is charted:
    /// zero, or more where runs share errors, so that they flag no more often than independent ones.
    pub added: Vec<f64>,
}

/// Simulates logs of normal runs whose limits are stated or estimated in the same way.
///
/// Runs that share errors stay together on one side, which weighted means and sums take for a drift. Where they flag
/// more often than independent runs would, beyond the error of the simulation, the limits move out, from `L·σ` to
/// `L·√(σ² + v)`, and so do those of means and sums. As many simulated logs need a larger `v` as independent ones flag.
/// A `v` is added, no factor multiplied, because what is stated of shared errors does not change with an estimate of `σ`
/// that is too small by luck: factors would be too large in just the logs that flag.
/// Rules on neighbouring runs are counted where they are asked for, and never moved.
///
/// # Units and shapes
/// `errors` have one number for each of `runs`, in the unit of what is charted; with a standard deviation that is stated
/// they are scaled to have it from one run to the next.
/// # Assumes
/// Variances are those that the fit estimated or that are stated; a stated centre is known.
/// # Source
/// Parametric bootstrap: Efron and Tibshirani, An introduction to the bootstrap, 1993, 6.5. Checked by campaigns drawn
/// in `tests/it/drift/shared_errors.rs`.
pub fn false_alarms(
    runs: usize,
    kinds: &[ChartKind],
    plan: &Drift,
    errors: Option<&RunErrors>,
) -> FalseAlarms {
    let plan = Drift {
        centre: plan.centre.map(|_| 0.0),
        ..plan.clone()
    };
    let logs = logs(runs);
    let independent = independent(runs, kinds, &plan);
    let Some(errors) = errors.filter(|errors| !errors.are_independent_and_alike()) else {
        return independent.alarms;
    };
    let draw = |log| errors.draw(&mut Seeded::stream(SEED, log));
    let mut draws: Vec<Vec<f64>> = (0..logs).map(draw).collect();
    if let Some(stated) = plan.sd {
        let ranges = draws.iter().map(|draw| mean(&moving_ranges(draw)));
        let ranges: Vec<f64> = ranges.collect();
        let scale = stated * range_of_two() / mean(&ranges);
        draws.iter_mut().flatten().for_each(|value| *value *= scale);
    }
    let shared = Simulated::of(draws.into_iter(), kinds, &plan);
    let added = (0..kinds.len()).map(|kind| {
        let (asked, found) = (independent.beyond[kind], shared.beyond(kind));
        let square = |chance: f64| chance * (1.0 - chance) / logs as f64;
        let error = (square(asked) + square(found)).sqrt();
        let are_more = found - asked > STANDARD_ERRORS * error;
        if are_more {
            shared.needed_by(kind, asked)
        } else {
            0.0
        }
    });
    shared.alarms(added.collect())
}

/// What charts make of runs that share nothing, whatever these are charts of.
#[derive(Debug, Clone)]
struct Independent {
    /// The chances with the limits that are asked for.
    alarms: FalseAlarms,
    /// Share of logs in which each chart lies beyond these.
    beyond: Vec<f64>,
}

/// Most kinds of logs whose simulation is kept.
const MOST_KEPT: usize = 64;

/// Charts of runs that share nothing; each length and each settings are simulated once, since a night has many campaigns alike.
fn independent(runs: usize, kinds: &[ChartKind], plan: &Drift) -> Independent {
    static KEPT: Mutex<BTreeMap<String, Independent>> = Mutex::new(BTreeMap::new());
    let standard = Drift {
        sd: plan.sd.map(|_| 1.0),
        ..plan.clone()
    };
    let key = format!("{runs} {kinds:?} {standard:?}");
    let kept = || KEPT.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some(known) = kept().get(&key) {
        return known.clone();
    }
    let draws = (0..logs(runs)).map(|log| {
        let mut seeded = Seeded::stream(SEED, log);
        (0..runs).map(|_| seeded.normal()).collect()
    });
    let simulated = Simulated::of(draws, kinds, &standard);
    let found = Independent {
        alarms: simulated.alarms(vec![0.0; kinds.len()]),
        beyond: (0..kinds.len())
            .map(|kind| simulated.beyond(kind))
            .collect(),
    };
    let mut kept = kept();
    if kept.len() >= MOST_KEPT {
        kept.clear();
    }
    kept.insert(key, found.clone());
    found
}

/// How many logs of this length are simulated.
pub(super) fn logs(runs: usize) -> u64 {
    (RUNS_IN_ALL / runs.max(1)).clamp(FEWEST_LOGS, MOST_LOGS) as u64
}

/// Settings with the limits of a chart so many times as far out.
pub(super) fn widened(kind: ChartKind, plan: &Drift, times: f64) -> Drift {
    let mut plan = plan.clone();
    match kind {
        ChartKind::Individuals | ChartKind::Ewma => plan.limits *= times,
        ChartKind::Cusum => plan.cusum.decision *= times,
    }
    plan
}

/// What charts make of simulated logs.
struct Simulated {
    /// For each log, one for each kind of chart.
    logs: Vec<Vec<Seen>>,
}

/// What one chart makes of one log.
#[derive(Clone, Copy, Default)]
struct Seen {
    /// The variance that its limits must count besides that of one run, so that it does not flag; above zero where it does.
    needed: f64,
    /// Whether a rule on neighbouring runs holds anywhere.
    by_rule: bool,
}

impl Simulated {
    fn of(draws: impl Iterator<Item = Vec<f64>>, kinds: &[ChartKind], plan: &Drift) -> Self {
        let of_log = |values: Vec<f64>| {
            let Ok(level) = in_control(&values, plan) else {
                return vec![Seen::default(); kinds.len()];
            };
            let of_chart = |&kind: &ChartKind| {
                let furthest = furthest(kind, &values, level, plan);
                let has_rules = kind == ChartKind::Individuals && !plan.rules.is_empty();
                let by_rule = has_rules && {
                    let charted = points(kind, &values, level, plan);
                    charted.iter().any(|point| !point.rules.is_empty())
                };
                Seen {
                    needed: level.sd * level.sd * (furthest * furthest - 1.0),
                    by_rule,
                }
            };
            kinds.iter().map(of_chart).collect()
        };
        Self {
            logs: draws.map(of_log).collect(),
        }
    }

    fn share(&self, counts: impl Fn(&[Seen]) -> bool) -> f64 {
        let counted = self.logs.iter().filter(|log| counts(log)).count();
        counted as f64 / self.logs.len() as f64
    }

    /// Share of logs in which a chart lies beyond the limits that are asked for.
    fn beyond(&self, kind: usize) -> f64 {
        self.share(|log| log[kind].needed > 0.0)
    }

    /// The variance that the limits of a chart must count besides, so that this share of the logs needs more.
    fn needed_by(&self, kind: usize, share: f64) -> f64 {
        let mut needed: Vec<f64> = self.logs.iter().map(|log| log[kind].needed).collect();
        needed.sort_by(|one, other| other.total_cmp(one));
        let needing_more = (share * needed.len() as f64).round() as usize;
        let variance = needed.get(needing_more).copied().unwrap_or_default();
        Some(variance)
            .filter(|of| of.is_finite())
            .map_or(0.0, |of| of.max(0.0))
    }

    /// The chances with these limits.
    fn alarms(&self, added: Vec<f64>) -> FalseAlarms {
        let flags = |log: &[Seen], kind: usize| {
            let Seen { needed, by_rule } = log[kind];
            by_rule || needed > added[kind]
        };
        let kinds = 0..added.len();
        let by_chart = kinds.clone().map(|kind| self.share(|log| flags(log, kind)));
        FalseAlarms {
            by_chart: by_chart.collect(),
            any: self.share(|log| kinds.clone().any(|kind| flags(log, kind))),
            added,
        }
    }
}

/// The point furthest from the middle, in so many times as far as its limits.
fn furthest(kind: ChartKind, values: &[f64], level: InControl, plan: &Drift) -> f64 {
    let steady = steady_limits(kind, level, plan);
    let at = |statistic: f64| Limited {
        statistic,
        ..steady
    };
    let each = values.iter().copied();
    match kind {
        ChartKind::Individuals => each.map(|value| strain(at(value))).fold(0.0, f64::max),
        ChartKind::Ewma => weighted_means(each, level, plan)
            .map(strain)
            .fold(0.0, f64::max),
        ChartKind::Cusum => cumulative_sums(each, level, plan)
            .map(|sums| strain(at(sums.statistic())))
            .fold(0.0, f64::max),
    }
}

/// How many times as far from the middle as the limits.
fn strain(limited: Limited) -> f64 {
    let middle = (limited.upper + limited.lower) / 2.0;
    let half = (limited.upper - limited.lower) / 2.0;
    (limited.statistic - middle).abs() / half
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::in_control::usual;

    #[test]
    fn with_known_limits_single_values_flag_as_often_as_the_normal_distribution_says() {
        let plan = Drift {
            centre: Some(7.0),
            sd: Some(0.1),
            ..usual()
        };
        let found = false_alarms(60, &[ChartKind::Individuals], &plan, None);
        // Abramowitz and Stegun, table 26.1: 0.0026998 beyond three standard deviations on either side.
        let expected = 1.0 - (1.0_f64 - 0.002_699_8).powi(60);
        // Three standard errors of a share near 0.15 in 2000 logs.
        assert!((found.by_chart[0] - expected).abs() < 0.024);
        assert_eq!(found.any, found.by_chart[0]);
        assert_eq!(found.added, [0.0]);
    }
}
