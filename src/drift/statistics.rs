//! Statistics of the charts, run by run, and their limits.
//!
//! In: values in order, and where the process stands. Out: [`Limited`], weighted means and [`Sums`].
//! This module never estimates where the process stands.

use super::in_control::{InControl, Side};
use crate::campaign::Drift;

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

/// A charted statistic with its limits at that run, in the unit of what is charted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limited {
    /// The statistic.
    pub statistic: f64,
    /// Lower limit.
    pub lower: f64,
    /// Upper limit.
    pub upper: f64,
}

impl Limited {
    /// The side on which the statistic lies beyond its limit.
    pub fn beyond(&self) -> Option<Side> {
        let mut sides = [Side::Above, Side::Below].into_iter();
        sides.find(|side| self.outward(*side) > 0.0)
    }

    /// How far the statistic lies beyond the limit of a side; below zero within it.
    pub(super) fn outward(&self, side: Side) -> f64 {
        match side {
            Side::Above => self.statistic - self.upper,
            Side::Below => self.lower - self.statistic,
        }
    }
}

/// The two cumulative sums after one run, in the unit of what is charted.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sums {
    /// Sum of departures upwards.
    pub upper: f64,
    /// Sum of departures downwards.
    pub lower: f64,
    /// Runs since the upper sum was last zero.
    pub upper_runs: usize,
    /// Runs since the lower sum was last zero.
    pub lower_runs: usize,
}

impl Sums {
    /// The larger of the sums as one statistic, that of departures downwards with a minus.
    pub fn statistic(&self) -> f64 {
        match self.upper >= self.lower {
            true => self.upper,
            false => -self.lower,
        }
    }

    /// Runs since the sum on a side was last zero.
    pub fn runs(&self, side: Side) -> usize {
        match side {
            Side::Above => self.upper_runs,
            Side::Below => self.lower_runs,
        }
    }
}

/// The limits of a chart after many runs around its middle, in the unit of what is charted.
///
/// Single values: centre `± L·σ`. Weighted means: centre `± L·σ·√(λ/(2 − λ))`. Cumulative sums: `± h·σ`.
///
/// # Source
/// ISO 7870-2:2013, ISO 7870-6:2016 and ISO 7870-4:2021; NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.
pub fn steady_limits(kind: ChartKind, in_control: InControl, plan: &Drift) -> Limited {
    let middle = match kind {
        ChartKind::Cusum => 0.0,
        ChartKind::Individuals | ChartKind::Ewma => in_control.centre,
    };
    let half = half_width(kind, in_control, plan);
    Limited {
        statistic: middle,
        lower: middle - half,
        upper: middle + half,
    }
}

/// Half the distance of the limits after many runs.
fn half_width(kind: ChartKind, in_control: InControl, plan: &Drift) -> f64 {
    match kind {
        ChartKind::Individuals => plan.limits * in_control.sd,
        ChartKind::Ewma => plan.limits * in_control.sd * (plan.lambda / (2.0 - plan.lambda)).sqrt(),
        ChartKind::Cusum => plan.cusum.decision * in_control.sd,
    }
}

/// Exponentially weighted moving averages of values, each with its limits there.
///
/// `z = λ·x + (1 − λ)·z₋₁`, from `z₀` = the centre; limits at centre `± L·σ·√(λ/(2 − λ)·(1 − (1 − λ)²ⁱ))` at run `i`.
///
/// # Assumes
/// Independent values with standard deviation `σ`.
/// # Source
/// ISO 7870-6:2016; Lucas, J. M. and Saccucci, M. S., Technometrics 32 (1990) 1-12. Checked in
/// `tests/it/reference/run_lengths.rs`.
pub fn weighted_means(
    values: impl Iterator<Item = f64>,
    in_control: InControl,
    plan: &Drift,
) -> impl Iterator<Item = Limited> {
    let (centre, lambda) = (in_control.centre, plan.lambda);
    let steady = half_width(ChartKind::Ewma, in_control, plan);
    let kept = 1.0 - lambda;
    values.scan((centre, 1.0_f64), move |(statistic, forgotten), value| {
        *statistic = lambda * value + kept * *statistic;
        *forgotten *= kept * kept;
        let half = steady * (1.0 - *forgotten).sqrt();
        Some(Limited {
            statistic: *statistic,
            lower: centre - half,
            upper: centre + half,
        })
    })
}

/// Two cumulative sums after each of some values.
///
/// `C⁺ = max(0, C⁺₋₁ + x − centre − k·σ)` and `C⁻ = max(0, C⁻₋₁ + centre − k·σ − x)`, both from 0; a flag where one
/// exceeds `h·σ`. A flag does not set the sums back: a log is read as a whole.
///
/// # Assumes
/// Independent values with standard deviation `σ`.
/// # Source
/// ISO 7870-4:2021; NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3. Checked in
/// `tests/it/reference/control_charts.rs` and `run_lengths.rs`.
pub fn cumulative_sums(
    values: impl Iterator<Item = f64>,
    in_control: InControl,
    plan: &Drift,
) -> impl Iterator<Item = Sums> {
    let slack = plan.cusum.reference * in_control.sd;
    let runs = |sum: f64, before: usize| if sum > 0.0 { before + 1 } else { 0 };
    values.scan(Sums::default(), move |sums, value| {
        let off = value - in_control.centre;
        sums.upper = (sums.upper + off - slack).max(0.0);
        sums.lower = (sums.lower - off - slack).max(0.0);
        sums.upper_runs = runs(sums.upper, sums.upper_runs);
        sums.lower_runs = runs(sums.lower, sums.lower_runs);
        Some(*sums)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::campaign::CusumPlan;
    use crate::drift::in_control::usual;

    #[test]
    fn with_all_weight_on_the_newest_run_it_is_the_chart_of_single_runs() {
        let plan = Drift {
            lambda: 1.0,
            ..usual()
        };
        let expected = [
            (15.9, None),
            (16.1, Some(Side::Above)),
            (3.9, Some(Side::Below)),
        ];
        let values = expected.iter().map(|(value, _)| *value);
        let points: Vec<Limited> =
            weighted_means(values, InControl::stated(10.0, 2.0), &plan).collect();
        assert_eq!(points.len(), expected.len());
        for (point, (value, beyond)) in points.iter().zip(expected) {
            assert_eq!(
                (point.statistic, point.lower, point.upper),
                (value, 4.0, 16.0)
            );
            assert_eq!(point.beyond(), beyond);
        }
    }

    #[test]
    fn departures_within_the_slack_add_nothing_and_the_count_begins_where_they_add_up() {
        let plan = Drift {
            cusum: CusumPlan {
                reference: 0.5,
                decision: 2.0,
            },
            ..usual()
        };
        let in_control = InControl::stated(0.0, 1.0);
        let values = [0.5, -2.0, -1.5].into_iter();
        let sums: Vec<Sums> = cumulative_sums(values, in_control, &plan).collect();
        assert_eq!(sums[0].upper, 0.0);
        let last = sums[2];
        assert_eq!((last.lower, last.lower_runs, last.upper_runs), (2.5, 2, 0));
        assert_eq!(last.statistic(), -2.5);
        let limited = Limited {
            statistic: last.statistic(),
            ..steady_limits(ChartKind::Cusum, in_control, &plan)
        };
        assert_eq!(limited.beyond(), Some(Side::Below));
    }
}
