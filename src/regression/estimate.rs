//! Estimates, intervals, and where a new run would fall.
//!
//! In: nothing of its own. Out: [`Estimate`], [`Interval`], [`NewRun`] and [`RunScatter`], which all answers are made of.
//! This module never computes an estimate.

use serde::Serialize;

/// The two ends of an interval, in the unit of what it is about.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(into = "[f64; 2]")]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl From<Interval> for [f64; 2] {
    fn from(ends: Interval) -> Self {
        [ends.low, ends.high]
    }
}

/// A fitted number with what is known about its error.
///
/// The interval is `value ± t · standard_error`, with `t` exceeded on either side with the chance that the confidence of
/// the model leaves, at these degrees of freedom; on the logit scale its ends are brought back from the fit.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Estimate {
    /// Best value, in the unit of the response unless said otherwise.
    pub value: f64,
    /// Standard error, in the same unit; None without residual degrees of freedom.
    pub standard_error: Option<f64>,
    /// Degrees of freedom of the standard error.
    pub degrees_of_freedom: f64,
    /// Interval at the confidence of the model.
    pub interval: Option<Interval>,
    /// Two-sided chance of a value so far from zero when the true value is zero; None if the fit is perfect, and for
    /// a mean on the logit scale, which cannot be zero.
    pub p: Option<f64>,
}

/// Where a single new run would fall: `s² = u² + Σ σ²`, with `u` the standard error of the mean and `σ²` all scatter.
#[derive(Debug, Clone, PartialEq)]
pub struct NewRun {
    /// Expected value, in the unit of the response.
    pub value: f64,
    /// Standard deviation of a new run about it: the error of the model and all scatter below together.
    pub standard_deviation: Option<f64>,
    /// What scatters a new run; None without residual degrees of freedom.
    pub scatter: Option<RunScatter>,
    /// Degrees of freedom of the standard deviation.
    pub degrees_of_freedom: f64,
    /// Interval for one new run at the confidence of the model.
    pub interval: Option<Interval>,
}

/// The variances that scatter a new run about its expected value, in the squared unit of the response.
///
/// True values scatter by `run_to_run` and `between_blocks`, logged ones by all four.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunScatter {
    /// From run to run; in a plain fit the residual mean square, which holds everything.
    pub run_to_run: f64,
    /// That a new level of each block adds, such as a new lot.
    pub between_blocks: f64,
    /// Mean variance from what the measurement of a run has for itself, at the expected value.
    pub own_measurement: f64,
    /// Mean variance from errors that runs share, such as those of assay and titrant, at the expected value;
    /// counted as new ones, so that the interval is a little too wide for a lot or a titrant used before.
    pub shared_measurement: f64,
}

impl RunScatter {
    /// All four times a number.
    pub(crate) fn times(self, number: f64) -> Self {
        Self {
            run_to_run: number * self.run_to_run,
            between_blocks: number * self.between_blocks,
            own_measurement: number * self.own_measurement,
            shared_measurement: number * self.shared_measurement,
        }
    }

    /// The sum of all four.
    pub fn total(&self) -> f64 {
        self.run_to_run + self.between_blocks + self.own_measurement + self.shared_measurement
    }
}
