//! Points of each kind of control chart, run by run.
//!
//! In: charted values and where the process stands. Out: [`ChartPoint`]s and the [`MovingRanges`].
//! This module never decides what is charted.

use super::in_control::{InControl, Side, moving_ranges, range_of_two, spread_of_range_of_two};
use super::rules::holds;
use super::statistics::{ChartKind, Limited, Sums, cumulative_sums, steady_limits, weighted_means};
use crate::campaign::{Drift, RunRule};
use crate::distributions::erfc;

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
    /// Whether anything is out of the ordinary there.
    pub fn is_flagged(&self) -> bool {
        self.limited.beyond().is_some() || !self.rules.is_empty()
    }
}

/// One point for each value.
///
/// # Source
/// Single values within centre `± L·σ`: ISO 7870-2:2013; NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2.
pub fn points(
    kind: ChartKind,
    values: &[f64],
    in_control: InControl,
    plan: &Drift,
) -> Vec<ChartPoint> {
    let steady = steady_limits(kind, in_control, plan);
    let at = |statistic: f64| Limited {
        statistic,
        ..steady
    };
    let bare = |limited: Limited| ChartPoint {
        limited,
        sums: None,
        rules: Vec::new(),
    };
    let each = values.iter().copied();
    match kind {
        ChartKind::Individuals => each
            .enumerate()
            .map(|(run, value)| ChartPoint {
                rules: rules_at(&values[..=run], &in_control, plan),
                ..bare(at(value))
            })
            .collect(),
        ChartKind::Ewma => weighted_means(each, in_control, plan).map(bare).collect(),
        ChartKind::Cusum => cumulative_sums(each, in_control, plan)
            .map(|sums| ChartPoint {
                sums: Some(sums),
                ..bare(at(sums.statistic()))
            })
            .collect(),
    }
}

/// The rules asked for that hold at the last of some values, each with its side.
fn rules_at(values: &[f64], in_control: &InControl, plan: &Drift) -> Vec<RuleAt> {
    let held = plan.rules.iter().filter_map(|&rule| {
        let side = holds(rule, values, in_control)?;
        Some(RuleAt { rule, side })
    });
    held.collect()
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
        let ranges = (1..).zip(&self.ranges);
        let beyond = ranges.filter(|(_, range)| **range > self.upper);
        beyond.map(|(run, _)| run).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked out with the error function of Python's library; two million simulated differences gave 0.0091.
    #[test]
    fn the_chance_of_a_long_range_is_that_of_a_normal_difference() {
        for (limits, expected) in [(2.0, 0.045_123_10), (3.0, 0.009_152_21)] {
            let in_control = InControl::stated(0.0, 1.0);
            let found = MovingRanges::new(&[0.0, 1.0], in_control, limits).by_luck;
            assert!((found - expected).abs() < 1e-8, "{limits}: {found}");
        }
    }
}
