//! Does a weighted mean of the newest runs leave its limits?
//!
//! In: values one by one. Out: [`Limited`], the exponentially weighted moving average with its limits there.
//! This module never estimates where the process stands.

use super::in_control::InControl;

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

/// Which side of the centre.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Higher values.
    Above,
    /// Lower values.
    Below,
}

impl Limited {
    /// The side on which the statistic lies beyond its limit.
    pub fn beyond(&self) -> Option<Side> {
        if self.statistic > self.upper {
            Some(Side::Above)
        } else if self.statistic < self.lower {
            Some(Side::Below)
        } else {
            None
        }
    }
}

/// How wide the limits are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Width {
    /// That of the statistic at each run: narrow at first. All charts of a campaign have it.
    Exact,
    /// That which it comes to after many runs, from the first on; published run lengths are for these.
    Steady,
}

/// Settings of the chart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EwmaPlan {
    /// Weight of the newest run, above 0 and up to 1.
    pub lambda: f64,
    /// Distance of the limits [standard deviations of the statistic].
    pub limits: f64,
    /// How wide the limits are.
    pub width: Width,
}

/// An exponentially weighted moving average that takes one value after another.
///
/// `z = λ·x + (1 − λ)·z₋₁`, from `z₀` = the centre; limits at centre `± L·σ·√(λ/(2 − λ)·(1 − (1 − λ)²ⁱ))` at run `i`.
///
/// # Assumes
/// Independent values with standard deviation `σ`.
/// # Source
/// ISO 7870-6:2016; Lucas, J. M. and Saccucci, M. S., Technometrics 32 (1990) 1-12. Checked in
/// `tests/it/reference/run_lengths.rs`.
#[derive(Debug, Clone)]
pub struct Ewma {
    in_control: InControl,
    plan: EwmaPlan,
    statistic: f64,
    forgotten: f64,
}

impl Ewma {
    /// A chart before its first run.
    pub fn new(in_control: InControl, plan: EwmaPlan) -> Self {
        Self {
            in_control,
            plan,
            statistic: in_control.centre,
            forgotten: 1.0,
        }
    }

    /// Half the distance of the limits after many runs, in the unit of what is charted.
    pub fn steady_half_width(&self) -> f64 {
        let EwmaPlan { lambda, limits, .. } = self.plan;
        limits * self.in_control.sd * (lambda / (2.0 - lambda)).sqrt()
    }

    /// The statistic and its limits after one more value.
    pub fn next(&mut self, value: f64) -> Limited {
        let kept = 1.0 - self.plan.lambda;
        self.statistic = self.plan.lambda * value + kept * self.statistic;
        self.forgotten *= kept * kept;
        let narrowing = match self.plan.width {
            Width::Exact => (1.0 - self.forgotten).sqrt(),
            Width::Steady => 1.0,
        };
        let half = self.steady_half_width() * narrowing;
        Limited {
            statistic: self.statistic,
            lower: self.in_control.centre - half,
            upper: self.in_control.centre + half,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::Origin;

    #[test]
    fn with_all_weight_on_the_newest_run_it_is_the_chart_of_single_runs() {
        let in_control = InControl {
            centre: 10.0,
            centre_from: Origin::Stated,
            sd: 2.0,
            sd_from: Origin::Stated,
        };
        let plan = EwmaPlan {
            lambda: 1.0,
            limits: 3.0,
            width: Width::Exact,
        };
        let mut chart = Ewma::new(in_control, plan);
        for (value, beyond) in [
            (15.9, None),
            (16.1, Some(Side::Above)),
            (3.9, Some(Side::Below)),
        ] {
            let point = chart.next(value);
            assert_eq!(
                (point.statistic, point.lower, point.upper),
                (value, 4.0, 16.0)
            );
            assert_eq!(point.beyond(), beyond);
        }
    }
}
