//! What does a fit on another scale say in the unit of the response?
//!
//! In: what the fit says of a combination on its own scale. Out: [`Estimate`]s and [`NewRun`]s of the response, and figures of the runs.
//! This module never changes a number of a plain scale, and never fits.
//!
//! # Source
//! Oehlert, A note on the delta method, The American Statistician 46 (1992), 27-29.

use super::machinery::Machinery;
use crate::regression::asked::ResponseScale;
use crate::regression::estimable::Refusal;
use crate::regression::estimate::{Estimate, Interval, NewRun, RunScatter};
use crate::regression::plain::Residuals;

/// Figures of the runs in the unit of the response.
pub(crate) struct OfRuns {
    pub fitted: Vec<f64>,
    pub residuals: Vec<f64>,
    pub residual_sd: Option<f64>,
    pub leave_one_out_sd: Option<f64>,
}

impl OfRuns {
    /// Fitted values and errors of the runs, `responses` in their own unit.
    pub fn on_logit(responses: &[f64], of_fit: &Residuals, residual_df: usize) -> Self {
        let back = |z: f64| ResponseScale::Logit.response(z);
        let fitted: Vec<f64> = of_fit.fitted.iter().map(|&z| back(z)).collect();
        let residuals: Vec<f64> = responses.iter().zip(&fitted).map(|(y, f)| y - f).collect();
        let squares: f64 = residuals.iter().map(|residual| residual * residual).sum();
        let left_out = of_fit.left_out_squares.map(|_| {
            let runs = responses.iter().zip(&of_fit.left_out);
            let squares: f64 = runs
                .map(|(&y, error)| {
                    let expected = ResponseScale::Logit.fitted(y) - error;
                    (y - back(expected)).powi(2)
                })
                .sum();
            (squares / responses.len() as f64).sqrt()
        });
        Self {
            fitted,
            residuals,
            residual_sd: (residual_df > 0).then(|| (squares / residual_df as f64).sqrt()),
            leave_one_out_sd: left_out,
        }
    }
}

impl Machinery {
    /// The mean response of a combination; on the logit scale the value that half of the runs exceed.
    ///
    /// # Errors
    /// As for [`Self::estimate`].
    pub fn mean_response(&self, combination: &[f64]) -> Result<Estimate, Refusal> {
        let of_fit = self.estimate(combination)?;
        Ok(match self.scale {
            ResponseScale::Plain => of_fit,
            ResponseScale::Logit => Estimate {
                value: self.scale.response(of_fit.value),
                standard_error: of_fit
                    .standard_error
                    .map(|error| error * self.scale.slope(of_fit.value)),
                degrees_of_freedom: of_fit.degrees_of_freedom,
                interval: self.back(of_fit.interval),
                // No fraction on this scale can be zero.
                p: None,
            },
        })
    }

    /// The mean response of one combination minus that of another.
    ///
    /// On the logit scale `d = y₁ − y₂` has the error of `g₁ z₁ − g₂ z₂` with `g = y (1 − y)`, of first order, an
    /// interval from that, and the chance of the difference `z₁ − z₂`.
    ///
    /// # Errors
    /// As for [`Self::estimate`]; on the logit scale both means must be known.
    pub fn difference(&self, one: &[f64], other: &[f64]) -> Result<Estimate, Refusal> {
        let weighted = |of_one: f64, of_other: f64| -> Vec<f64> {
            let parts = one.iter().zip(other);
            parts.map(|(a, b)| of_one * a - of_other * b).collect()
        };
        let of_fit = self.estimate(&weighted(1.0, 1.0));
        match self.scale {
            ResponseScale::Plain => of_fit,
            ResponseScale::Logit => {
                let (first, second) = (self.estimate(one)?.value, self.estimate(other)?.value);
                let slopes = [first, second].map(|z| self.scale.slope(z));
                let first_order = self.estimate(&weighted(slopes[0], slopes[1]))?;
                let value = self.scale.response(first) - self.scale.response(second);
                let (error, degrees) = (first_order.standard_error, first_order.degrees_of_freedom);
                Ok(Estimate {
                    value,
                    standard_error: error,
                    degrees_of_freedom: degrees,
                    interval: self.interval(value, error, degrees),
                    p: of_fit?.p,
                })
            }
        }
    }

    /// Where one new run is logged whose expected value is that of a combination.
    ///
    /// # Errors
    /// As for [`Self::estimate`].
    pub fn new_response(&self, combination: &[f64]) -> Result<NewRun, Refusal> {
        let mean = self.estimate(combination)?;
        let of_fit = self.new_run(combination, &mean);
        let slope = self.scale.slope(mean.value);
        Ok(match self.scale {
            ResponseScale::Plain => of_fit,
            ResponseScale::Logit => NewRun {
                value: self.scale.response(of_fit.value),
                standard_deviation: of_fit.standard_deviation.map(|sd| sd * slope),
                scatter: of_fit.scatter.map(|scatter| scaled(scatter, slope * slope)),
                degrees_of_freedom: of_fit.degrees_of_freedom,
                interval: self.back(of_fit.interval),
            },
        })
    }

    /// The covariance of two mean responses, of first order on the logit scale; None without residual degrees of freedom.
    ///
    /// # Errors
    /// As for [`Self::estimate`], for either combination.
    pub fn response_covariance(&self, one: &[f64], other: &[f64]) -> Result<Option<f64>, Refusal> {
        let (first, second) = (self.estimate(one)?.value, self.estimate(other)?.value);
        let slopes = self.scale.slope(first) * self.scale.slope(second);
        Ok(self.covariance(one, other).map(|shared| shared * slopes))
    }

    fn back(&self, of_fit: Option<Interval>) -> Option<Interval> {
        of_fit.map(|ends| Interval {
            low: self.scale.response(ends.low),
            high: self.scale.response(ends.high),
        })
    }
}

fn scaled(scatter: RunScatter, by: f64) -> RunScatter {
    RunScatter {
        run_to_run: by * scatter.run_to_run,
        between_blocks: by * scatter.between_blocks,
        own_measurement: by * scatter.own_measurement,
        shared_measurement: by * scatter.shared_measurement,
    }
}
