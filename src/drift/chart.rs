//! What does each kind of chart show, run by run?
//!
//! In: charted values and where the process stands. Out: [`ChartPoint`]s and the [`MovingRanges`].
//! This module never decides what is charted.

use super::cusum::{Cusum, Sums};
use super::ewma::{Ewma, EwmaPlan, Limited, Side, Width};
use super::in_control::{InControl, mean, moving_ranges, range_of_two, spread_of_range_of_two};
use super::rules::holds;
use crate::campaign::{CusumPlan, Drift, RunRule};
use crate::distributions::erfc;

/// The kinds of chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChartKind {
    /// Single values: sees a large departure of one run.
    Individuals,
    /// Weighted mean of the newest runs: sees smaller ones that last.
    Ewma,
    /// Cumulative sums: sees small ones that last, and when they began.
    Cusum,
}

impl ChartKind {
    /// Its name in results.
    pub fn name(self) -> &'static str {
        match self {
            ChartKind::Individuals => "individuals",
            ChartKind::Ewma => "ewma",
            ChartKind::Cusum => "cusum",
        }
    }
}

/// Settings of all charts.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartPlan {
    /// Distance of the limits of single values and weighted means [standard deviations].
    pub limits: f64,
    /// Weight of the newest run in the weighted mean.
    pub lambda: f64,
    /// How the cumulative sums are kept.
    pub cusum: CusumPlan,
    /// Patterns that are looked for among single values.
    pub rules: Vec<RunRule>,
}

#[cfg(test)]
impl ChartPlan {
    /// What a campaign that asks for nothing gets.
    pub(super) fn usual() -> Self {
        Self {
            limits: 3.0,
            lambda: 0.3,
            cusum: CusumPlan {
                reference: 0.5,
                decision: 5.0,
            },
            rules: Vec::new(),
        }
    }
}

impl From<&Drift> for ChartPlan {
    fn from(drift: &Drift) -> Self {
        Self {
            limits: drift.limits,
            lambda: drift.lambda,
            cusum: drift.cusum,
            rules: drift.rules.clone(),
        }
    }
}

/// One run in one chart.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartPoint {
    /// The statistic with its limits.
    pub limited: Limited,
    /// Both sums, in a chart of cumulative sums.
    pub sums: Option<Sums>,
    /// The rules that hold there.
    pub rules: Vec<RuleAt>,
}

/// A rule that holds at a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RuleAt {
    /// The rule.
    pub rule: RunRule,
    /// The side to which it points.
    pub side: Side,
}

impl ChartPoint {
    fn bare(limited: Limited) -> Self {
        Self {
            limited,
            sums: None,
            rules: Vec::new(),
        }
    }

    /// Whether anything is out of the ordinary there.
    pub fn is_flagged(&self) -> bool {
        self.limited.beyond().is_some() || !self.rules.is_empty()
    }
}

/// The limits of a chart after many runs, in the unit of what is charted.
pub(super) fn steady_limits(kind: ChartKind, in_control: InControl, plan: &ChartPlan) -> Limited {
    let half = match kind {
        ChartKind::Individuals => plan.limits * in_control.sd,
        ChartKind::Ewma => Ewma::new(in_control, weighted(plan)).steady_half_width(),
        ChartKind::Cusum => Cusum::new(in_control, plan.cusum).decision(),
    };
    let middle = match kind {
        ChartKind::Cusum => 0.0,
        ChartKind::Individuals | ChartKind::Ewma => in_control.centre,
    };
    Limited {
        statistic: middle,
        lower: middle - half,
        upper: middle + half,
    }
}

fn weighted(plan: &ChartPlan) -> EwmaPlan {
    EwmaPlan {
        lambda: plan.lambda,
        limits: plan.limits,
        width: Width::Exact,
    }
}

/// One point for each value.
pub fn points(
    kind: ChartKind,
    values: &[f64],
    in_control: InControl,
    plan: &ChartPlan,
) -> Vec<ChartPoint> {
    match kind {
        ChartKind::Individuals => individuals(values, in_control, plan),
        ChartKind::Ewma => {
            let mut chart = Ewma::new(in_control, weighted(plan));
            values
                .iter()
                .map(|value| ChartPoint::bare(chart.next(*value)))
                .collect()
        }
        ChartKind::Cusum => {
            let mut chart = Cusum::new(in_control, plan.cusum);
            let mut point = |value: &f64| {
                let sums = chart.next(*value);
                ChartPoint {
                    sums: Some(sums),
                    ..ChartPoint::bare(chart.limited())
                }
            };
            values.iter().map(&mut point).collect()
        }
    }
}

/// Single values within centre `± L·σ`.
///
/// # Source
/// ISO 7870-2:2013; NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.
fn individuals(values: &[f64], in_control: InControl, plan: &ChartPlan) -> Vec<ChartPoint> {
    let limits = steady_limits(ChartKind::Individuals, in_control, plan);
    let point = |run: usize| ChartPoint {
        rules: plan
            .rules
            .iter()
            .filter_map(|&rule| {
                let side = holds(rule, &values[..=run], &in_control)?;
                Some(RuleAt { rule, side })
            })
            .collect(),
        ..ChartPoint::bare(Limited {
            statistic: values[run],
            ..limits
        })
    };
    (0..values.len()).map(point).collect()
}

/// Distances of neighbouring runs, in the unit of what is charted.
#[derive(Debug, Clone, PartialEq)]
pub struct MovingRanges {
    /// Distance of each run from the one before; none for the first.
    pub ranges: Vec<f64>,
    /// Mean of those among the runs in control: `σ·2/√π`.
    pub mean: f64,
    /// Upper limit: mean times `1 + L·d3/d2`, with `d2` and `d3` those of two.
    pub upper: f64,
    /// Chance that a range of neighbours in control lies beyond the limit, with normal errors.
    pub by_luck: f64,
}

impl MovingRanges {
    /// The ranges with their limit.
    ///
    /// # Source
    /// ISO 7870-2:2013, table 2: `D4 = 1 + 3·d3/d2`.
    pub fn new(values: &[f64], in_control: InControl, limits: f64) -> Self {
        let mean = in_control.sd * range_of_two();
        Self {
            ranges: moving_ranges(values),
            mean,
            upper: mean * (1.0 + limits * spread_of_range_of_two() / range_of_two()),
            // The difference of two has the standard deviation `σ·√2`.
            by_luck: erfc((range_of_two() + limits * spread_of_range_of_two()) / 2.0),
        }
    }

    /// Positions of the runs that lie further from the one before than the limit.
    pub fn beyond(&self) -> Vec<usize> {
        let ranges = self.ranges.iter().enumerate();
        ranges
            .filter(|(_, range)| **range > self.upper)
            .map(|(position, _)| position + 1)
            .collect()
    }
}

/// Mean of the values from one position to another, both included.
pub(super) fn mean_between(values: &[f64], from: usize, to: usize) -> f64 {
    mean(&values[from..=to])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::Origin;

    /// Worked out with the error function of Python's library; two million simulated differences gave 0.0091.
    #[test]
    fn the_chance_of_a_long_range_is_that_of_a_normal_difference() {
        for (limits, expected) in [(2.0, 0.045_123_10), (3.0, 0.009_152_21)] {
            let in_control = InControl {
                centre: 0.0,
                centre_from: Origin::Stated,
                sd: 1.0,
                sd_from: Origin::Stated,
            };
            let found = MovingRanges::new(&[0.0, 1.0], in_control, limits).by_luck;
            assert!((found - expected).abs() < 1e-8, "{limits}: {found}");
        }
    }
}
