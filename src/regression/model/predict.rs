//! Means, differences and new runs at settings, and rough means for searches.
//!
//! In: a fitted model and [`Settings`]. Out: estimates of means and differences, where a new run would fall, and [`RoughMean`]
//! for searches that look at thousands of settings.
//! This module never judges whether the settings are sensible, and never goes beyond the declared factors.

use twofloat::TwoFloat;

use super::estimates::Machinery;
use super::fitted::FittedModel;
use crate::regression::asked::Settings;
use crate::regression::estimable::Refusal;
use crate::regression::estimate::{Estimate, NewRun};

/// A mean with the variance that says how far its settings are from the runs: `cᵀβ` and `var(cᵀβ)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoughMean {
    /// Mean response, in its unit.
    pub value: f64,
    /// Variance of the mean on the scale of the fit; None without residual degrees of freedom.
    pub variance: Option<f64>,
}

impl FittedModel {
    /// The mean response at these settings, with the interval for the mean; for one run, see [`Self::new_run_interval`].
    ///
    /// On the logit scale it is the value that half of the runs exceed: the mean of the fit brought back, and the ends of
    /// its interval likewise, so that they stay within 0 and 1. The standard error is of first order, and there is no chance
    /// of zero.
    ///
    /// # Units and shapes
    /// Amounts in the unit of their factor, the estimate in the unit of the response.
    /// # Assumes
    /// Levels of blocks are drawn at random: the mean is that over all such levels, and its degrees of freedom are few where
    /// few of them were run.
    /// # Errors
    /// [`Refusal`] for settings that the model does not know, and for means that the runs cannot tell apart from something else.
    pub fn estimate(&self, settings: &Settings) -> Result<Estimate, Refusal> {
        self.machinery
            .mean_response(&self.machinery.asked(settings)?)
    }

    /// Where one new run at these settings would be logged, its own scatter included.
    ///
    /// `s² = σ² + u²`, with `u` the standard error of the mean, and `σ²` the residual mean square of a plain fit,
    /// the sum of [`crate::regression::RunScatter`] of a measured one: the run is on a new level of each block. Where runs
    /// scatter differently by the levels of a choice ([`FittedModel::uneven`]), `σ²` is that of the level that the settings
    /// name, or the mean of all over the reference mix. On the logit scale value and ends are brought back from the fit;
    /// standard deviation and scatter are of first order.
    ///
    /// # Errors
    /// As for [`Self::estimate`].
    /// # Source
    /// Searle, Linear Models, 1971, 3.4 (variance of a future observation).
    pub fn new_run_interval(&self, settings: &Settings) -> Result<NewRun, Refusal> {
        let asked = self.machinery.asked(settings)?;
        let shares = self.machinery.shares(&self.machinery.mix(settings)?);
        self.machinery.new_response(&asked, &shares)
    }

    /// The mean response at the first settings minus that at the second, its standard error from the covariance of both.
    ///
    /// On the logit scale standard error and interval are of first order (delta method) about the difference of the means
    /// brought back; the chance is that of the difference on the scale of the fit.
    ///
    /// # Errors
    /// As for [`Self::estimate`]; a difference may be known where neither mean is, but not on the logit scale.
    pub fn difference(&self, settings: &Settings, against: &Settings) -> Result<Estimate, Refusal> {
        let asked = self.machinery.asked(settings)?;
        self.machinery
            .difference(&asked, &self.machinery.asked(against)?)
    }

    /// The difference between two levels of a choice, all else at the reference mix.
    ///
    /// # Errors
    /// As for [`Self::difference`].
    pub fn level_difference(
        &self,
        factor: &str,
        level: &str,
        against: &str,
    ) -> Result<Estimate, Refusal> {
        self.difference(
            &Settings::default().level(factor, level),
            &Settings::default().level(factor, against),
        )
    }

    /// The covariance of the mean responses at two settings, in the squared unit of the response.
    ///
    /// None without residual degrees of freedom; on the logit scale of first order.
    /// # Errors
    /// As for [`Self::estimate`], for either of the settings.
    pub fn covariance(
        &self,
        settings: &Settings,
        other: &Settings,
    ) -> Result<Option<f64>, Refusal> {
        let machinery = &self.machinery;
        let (one, other) = (machinery.asked(settings)?, machinery.asked(other)?);
        let (first, second) = (machinery.value(&one)?, machinery.value(&other)?);
        let slopes = machinery.scale.slope(first) * machinery.scale.slope(second);
        let shared = machinery.covariance(&one, &other);
        Ok(shared.map(|shared| shared * slopes))
    }

    /// The mean response at these settings alone, in its unit.
    ///
    /// # Errors
    /// As for [`Self::estimate`].
    pub fn mean(&self, settings: &Settings) -> Result<f64, Refusal> {
        let value = self.machinery.value(&self.machinery.asked(settings)?)?;
        Ok(self.machinery.scale.response(value))
    }

    /// The levels of each choice among the effects, by the name of the choice, each with whether its mean can be told at the
    /// reference mix of all else.
    pub fn levels_told(&self) -> impl Iterator<Item = (&str, impl Iterator<Item = (&str, bool)>)> {
        let machinery = &self.machinery;
        let choices = machinery.choices();
        choices.map(|factor| {
            (
                machinery.data.factors[factor].name.as_str(),
                machinery.told(factor),
            )
        })
    }

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
    /// The value of a combination on the scale of the fit.
    ///
    /// # Errors
    /// As for [`Self::estimate`].
    pub fn value(&self, asked: &[f64]) -> Result<f64, Refusal> {
        if !self.separation.in_the_way(&self.basis, asked).is_empty() {
            // The reason is worked out where it is needed.
            return self.estimate(asked).map(|mean| mean.value);
        }
        let parts = asked.iter().zip(&self.coefficients);
        let products = parts.map(|(&part, &coefficient)| coefficient * part);
        let value = products.fold(TwoFloat::from(0.0), |sum, product| sum + product);
        let value = value.hi();
        value.is_finite().then_some(value).ok_or(Refusal::TooLarge)
    }

    /// Value and variance of a combination, both on the scale of the fit.
    ///
    /// # Errors
    /// As for [`Self::estimate`].
    pub fn rough(&self, asked: &[f64]) -> Result<RoughMean, Refusal> {
        Ok(RoughMean {
            value: self.value(asked)?,
            variance: self.variance(asked),
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
