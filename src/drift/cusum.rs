//! Do small departures on one side add up?
//!
//! In: values one by one. Out: [`Sums`], the upper and the lower cumulative sum.
//! This module never estimates where the process stands.

use super::ewma::{Limited, Side};
use super::in_control::InControl;
use crate::campaign::CusumPlan;

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

/// Two cumulative sums that take one value after another.
///
/// `C⁺ = max(0, C⁺₋₁ + x − centre − k·σ)` and `C⁻ = max(0, C⁻₋₁ + centre − k·σ − x)`, both from 0; a flag where one
/// exceeds `h·σ`. A flag does not set the sums back: a log is read as a whole.
///
/// # Assumes
/// Independent values with standard deviation `σ`.
/// # Source
/// ISO 7870-4:2021; NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3. Checked in
/// `tests/it/reference/control_charts.rs` and `run_lengths.rs`.
#[derive(Debug, Clone)]
pub struct Cusum {
    in_control: InControl,
    plan: CusumPlan,
    sums: Sums,
}

impl Cusum {
    /// A chart before its first run.
    pub fn new(in_control: InControl, plan: CusumPlan) -> Self {
        Self {
            in_control,
            plan,
            sums: Sums::default(),
        }
    }

    /// Sum from which on the chart flags, in the unit of what is charted.
    pub fn decision(&self) -> f64 {
        self.plan.decision * self.in_control.sd
    }

    /// Both sums after one more value.
    pub fn next(&mut self, value: f64) -> Sums {
        let slack = self.plan.reference * self.in_control.sd;
        let off = value - self.in_control.centre;
        self.sums.upper = (self.sums.upper + off - slack).max(0.0);
        self.sums.lower = (self.sums.lower - off - slack).max(0.0);
        let runs = |sum: f64, before: usize| if sum > 0.0 { before + 1 } else { 0 };
        self.sums.upper_runs = runs(self.sums.upper, self.sums.upper_runs);
        self.sums.lower_runs = runs(self.sums.lower, self.sums.lower_runs);
        self.sums
    }

    /// The larger of the sums as one statistic, that of departures downwards with a minus, and its limits.
    pub fn limited(&self) -> Limited {
        let Sums { upper, lower, .. } = self.sums;
        Limited {
            statistic: if upper >= lower { upper } else { -lower },
            lower: -self.decision(),
            upper: self.decision(),
        }
    }
}

impl Sums {
    /// Runs since the sum on a side was last zero.
    pub fn runs(&self, side: Side) -> usize {
        match side {
            Side::Above => self.upper_runs,
            Side::Below => self.lower_runs,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::Origin;

    #[test]
    fn departures_within_the_slack_add_nothing_and_the_count_begins_where_they_add_up() {
        let in_control = InControl {
            centre: 0.0,
            centre_from: Origin::Stated,
            sd: 1.0,
            sd_from: Origin::Stated,
        };
        let plan = CusumPlan {
            reference: 0.5,
            decision: 2.0,
        };
        let mut chart = Cusum::new(in_control, plan);
        assert_eq!(chart.next(0.5).upper, 0.0);
        chart.next(-2.0);
        let sums = chart.next(-1.5);
        assert_eq!((sums.lower, sums.lower_runs, sums.upper_runs), (2.5, 2, 0));
        assert_eq!(chart.limited().statistic, -2.5);
        assert_eq!(chart.limited().beyond(), Some(Side::Below));
    }
}
