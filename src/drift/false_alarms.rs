//! Chances that charts flag in a process that does not drift.
//!
//! In: how many runs are charted and how their limits come about. Out: [`FalseAlarms`], by simulation.
//! This module never looks at a logged value.

use super::chart::points;
use super::in_control::in_control;
use super::statistics::ChartKind;
use crate::campaign::Drift;
use crate::seeded::Seeded;

/// Most logs simulated: the chance of a flag is then known to within 1.1 points (one standard error).
const MOST_LOGS: usize = 2000;

/// Runs simulated in all, so that long logs take no longer.
const RUNS_IN_ALL: usize = 600_000;

/// Fewest logs simulated; the standard error of a chance of one half is then 3.5 points.
const FEWEST_LOGS: usize = 200;

/// Seed of the simulation: the chance is a property of the charts, not of the campaign.
const SEED: u64 = 78_704;

/// Chances that a log of this length has a flag though nothing drifts.
#[derive(Debug, Clone, PartialEq)]
pub struct FalseAlarms {
    /// For each kind of chart asked about, in their order.
    pub by_chart: Vec<f64>,
    /// For all of them together.
    pub any: f64,
}

/// Simulates logs of independent normal runs whose limits are stated or estimated in the same way.
///
/// Rules on neighbouring runs are not counted, nor is the error of effects that are taken out.
pub fn false_alarms(runs: usize, kinds: &[ChartKind], plan: &Drift) -> FalseAlarms {
    let plan = Drift {
        centre: plan.centre.map(|_| 0.0),
        sd: plan.sd.map(|_| 1.0),
        rules: Vec::new(),
        ..plan.clone()
    };
    let logs = (RUNS_IN_ALL / runs.max(1)).clamp(FEWEST_LOGS, MOST_LOGS);
    let mut flagged = vec![0_usize; kinds.len()];
    let mut any = 0;
    for log in 0..logs {
        let mut seeded = Seeded::stream(SEED, log as u64);
        let values: Vec<f64> = (0..runs).map(|_| seeded.normal()).collect();
        let Ok(level) = in_control(&values, &plan) else {
            continue;
        };
        let mut seen = false;
        for (count, &kind) in flagged.iter_mut().zip(kinds) {
            let charted = points(kind, &values, level, &plan);
            if charted.iter().any(|point| point.limited.beyond().is_some()) {
                *count += 1;
                seen = true;
            }
        }
        any += usize::from(seen);
    }
    let share = |count: usize| count as f64 / logs as f64;
    FalseAlarms {
        by_chart: flagged.into_iter().map(share).collect(),
        any: share(any),
    }
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
        let found = false_alarms(60, &[ChartKind::Individuals], &plan);
        // Abramowitz and Stegun, table 26.1: 0.0026998 beyond three standard deviations on either side.
        let expected = 1.0 - (1.0_f64 - 0.002_699_8).powi(60);
        // Three standard errors of a share near 0.15 in 2000 logs.
        assert!((found.by_chart[0] - expected).abs() < 0.024);
        assert_eq!(found.any, found.by_chart[0]);
    }
}
