//! Answers of a fit on another scale, in the unit of the response.
//!
//! In: what the fit says of a combination on its own scale. Out: [`Estimate`]s and [`NewRun`]s of the response, and figures of the runs.
//! This module never changes a number of a plain scale, and never fits.
//!
//! # Source
//! Oehlert, A note on the delta method, The American Statistician 46 (1992), 27-29.

use super::estimates::Machinery;
use crate::regression::asked::ResponseScale;
use crate::regression::estimable::Refusal;
use crate::regression::estimate::{Estimate, Interval, NewRun};
use crate::regression::plain::Residuals;

/// What a fit leaves over, in the unit of the response: fitted values and errors of the runs, `responses` in their own unit.
pub(crate) fn of_runs(scale: ResponseScale, responses: &[f64], of_fit: Residuals) -> Residuals {
    if scale == ResponseScale::Plain {
        return of_fit;
    }
    let fitted: Vec<f64> = of_fit.fitted.iter().map(|&z| scale.response(z)).collect();
    let residuals: Vec<f64> = responses.iter().zip(&fitted).map(|(y, f)| y - f).collect();
    let left_out = responses.iter().zip(&of_fit.left_out).map(|(&y, error)| {
        let expected = scale.fitted(y) - error;
        (y - scale.response(expected)).powi(2)
    });
    Residuals {
        residual_squares: residuals.iter().map(|residual| residual * residual).sum(),
        left_out_squares: of_fit.left_out_squares.map(|_| left_out.sum()),
        fitted,
        residuals,
        ..of_fit
    }
}

impl Machinery {
    /// The mean response of a combination; on the logit scale the value that half of the runs exceed.
    ///
    /// # Errors
    /// As for [`Self::estimate`].
    pub fn mean_response(&self, combination: &[f64]) -> Result<Estimate, Refusal> {
        Ok(self.mean_brought_back(self.estimate(combination)?))
    }

    /// A mean on the scale of the fit as one of the response.
    pub fn mean_brought_back(&self, of_fit: Estimate) -> Estimate {
        match self.scale {
            ResponseScale::Plain => of_fit,
            ResponseScale::Logit => Estimate {
                value: self.scale.response(of_fit.value),
                standard_error: of_fit
                    .standard_error
                    .map(|error| error * self.scale.slope(of_fit.value)),
                interval: self.back(of_fit.interval),
                // No fraction on this scale can be zero.
                p: None,
                ..of_fit
            },
        }
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
                let (first, second) = (self.value(one)?, self.value(other)?);
                let slopes = [first, second].map(|z| self.scale.slope(z));
                let first_order = self.estimate(&weighted(slopes[0], slopes[1]))?;
                let value = self.scale.response(first) - self.scale.response(second);
                Ok(self.of_first_order(value, first_order, of_fit?.p))
            }
        }
    }

    /// Where one new run is logged whose expected value is that of a combination, each variance from run to run by its share.
    ///
    /// # Errors
    /// As for [`Self::estimate`].
    pub fn new_response(&self, combination: &[f64], shares: &[f64]) -> Result<NewRun, Refusal> {
        Ok(self.run_brought_back(combination, &self.estimate(combination)?, shares))
    }

    /// The same about a mean on the scale of the fit.
    pub fn run_brought_back(&self, combination: &[f64], mean: &Estimate, shares: &[f64]) -> NewRun {
        let of_fit = self.new_run(combination, mean, shares);
        let slope = self.scale.slope(mean.value);
        match self.scale {
            ResponseScale::Plain => of_fit,
            ResponseScale::Logit => NewRun {
                value: self.scale.response(of_fit.value),
                standard_deviation: of_fit.standard_deviation.map(|sd| sd * slope),
                scatter: of_fit.scatter.map(|scatter| scatter.times(slope * slope)),
                interval: self.back(of_fit.interval),
                ..of_fit
            },
        }
    }

    /// The estimate of a value in the unit of the response whose error is that of a combination, of first order.
    pub fn of_first_order(&self, value: f64, of_error: Estimate, p: Option<f64>) -> Estimate {
        let (error, degrees) = (of_error.standard_error, of_error.degrees_of_freedom);
        Estimate {
            value,
            interval: self.interval(value, error, degrees),
            p,
            ..of_error
        }
    }

    fn back(&self, of_fit: Option<Interval>) -> Option<Interval> {
        of_fit.map(|ends| Interval {
            low: self.scale.response(ends.low),
            high: self.scale.response(ends.high),
        })
    }
}
