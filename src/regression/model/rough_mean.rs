//! Means at many settings, and how far each is from the runs.
//!
//! In: a fitted model and [`Settings`]. Out: [`RoughMean`], without degrees of freedom or interval.
//! This module never replaces an estimate: it is for searches that look at thousands of settings.

use super::fitted::FittedModel;
use super::machinery::Machinery;
use crate::regression::asked::Settings;
use crate::regression::estimable::Refusal;

/// A mean with the variance that says how far its settings are from the runs: `cᵀβ` and `var(cᵀβ)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoughMean {
    /// Mean response, in its unit.
    pub value: f64,
    /// Variance of the mean on the scale of the fit; None without residual degrees of freedom.
    pub variance: Option<f64>,
}

impl FittedModel {
    /// The mean at these settings with its variance on the scale of the fit, nothing else.
    ///
    /// Use it to compare many settings; [`Self::estimate`] says what is known of one of them.
    ///
    /// # Errors
    /// As for [`Self::estimate`].
    pub fn rough_mean(&self, settings: &Settings) -> Result<RoughMean, Refusal> {
        let machinery = &self.machinery;
        let of_fit = machinery.rough(&machinery.asked(settings)?)?;
        Ok(RoughMean {
            value: machinery.scale.response(of_fit.value),
            variance: of_fit.variance,
        })
    }
}

impl Machinery {
    /// Value and variance of a combination, both on the scale of the fit.
    ///
    /// # Errors
    /// As for [`Self::estimate`].
    pub fn rough(&self, asked: &[f64]) -> Result<RoughMean, Refusal> {
        if !self.separation.in_the_way(&self.basis, asked).is_empty() {
            // The reason is worked out where it is needed.
            let mean = self.estimate(asked)?;
            return Ok(RoughMean {
                value: mean.value,
                variance: None,
            });
        }
        let parts = asked.iter().zip(&self.coefficients);
        let value: f64 = parts
            .map(|(part, coefficient)| part * coefficient.hi())
            .sum();
        if !value.is_finite() {
            return Err(Refusal::TooLarge);
        }
        Ok(RoughMean {
            value,
            variance: self.covariance(asked, asked),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regression::tests::testing::{amount, choice, measured_log, model, runs};

    /// Rounding of sums of a few terms.
    const ROUNDING: f64 = 1e-12;

    #[test]
    fn a_rough_mean_is_the_estimate_without_its_interval() {
        let plain = runs(
            vec![1.0, 2.4, 3.0, 5.0, 6.0, 8.8],
            vec![
                choice("route", &["a", "b"], &["a", "a", "a", "b", "b", "b"]),
                amount("x", vec![0.0, 1.0, 2.0, 0.0, 1.0, 3.0]),
            ],
        );
        let plain = model(&["route", "x"]).fitted(&plain);
        let measured = model(&["heating", "oxidant"])
            .with_block("lot")
            .measured()
            .fitted(&measured_log());
        let cases = [
            (
                &plain,
                Settings::default().level("route", "b").amount("x", 0.4),
            ),
            (
                &measured,
                Settings::default()
                    .level("heating", "hob")
                    .amount("oxidant", 44.0),
            ),
        ];
        for (model, settings) in cases {
            let rough = model.rough_mean(&settings).expect("a mean");
            let exact = model.estimate(&settings).expect("a mean");
            assert!((rough.value - exact.value).abs() < ROUNDING);
            let error = rough.variance.expect("residual degrees of freedom").sqrt();
            assert!((error - exact.standard_error.unwrap()).abs() < ROUNDING);
        }
    }

    #[test]
    fn an_unknown_level_is_refused_here_too() {
        let data = runs(
            vec![1.0, 2.0, 4.0],
            vec![choice("route", &["a", "b"], &["a", "a", "b"])],
        );
        let model = model(&["route"]).fitted(&data);
        assert!(
            model
                .rough_mean(&Settings::default().level("route", "c"))
                .is_err()
        );
    }
}
