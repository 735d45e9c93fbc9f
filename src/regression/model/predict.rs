//! Means, differences and new runs at settings.
//!
//! In: a fitted model and [`Settings`]. Out: estimates of means and differences, and where a new run would fall.
//! This module never judges whether the settings are sensible, and never goes beyond the declared factors.

use super::fitted::FittedModel;
use crate::regression::asked::Settings;
use crate::regression::estimable::Refusal;
use crate::regression::estimate::{Estimate, NewRun};

impl FittedModel {
    /// The mean response at these settings, with the interval for the mean; for one run, see [`Self::new_run_interval`].
    ///
    /// On the logit scale it is the value that half of the runs exceed: the mean of the fit brought back, and the ends of
    /// its interval likewise, so that they stay within 0 and 1. The standard error is of first order, and there is no chance
    /// of zero.
    ///
    /// # Units and shapes
    /// Amounts in the unit of their factor, the estimate in the unit of the response.
    /// # Errors
    /// [`Refusal`] for settings that the model does not know, and for means that the runs cannot tell apart from something else.
    pub fn estimate(&self, settings: &Settings) -> Result<Estimate, Refusal> {
        self.machinery
            .mean_response(&self.machinery.asked(settings)?)
    }

    /// Where one new run at these settings would be logged, its own scatter included.
    ///
    /// `s² = σ² + u²`, with `u` the standard error of the mean, and `σ²` the residual mean square of a plain fit,
    /// the sum of [`crate::regression::RunScatter`] of a measured one: the run is on a new level of each block. On the logit scale
    /// value and ends are brought back from the fit; standard deviation and scatter are of first order.
    ///
    /// # Errors
    /// As for [`Self::estimate`].
    /// # Source
    /// Searle, Linear Models, 1971, 3.4 (variance of a future observation).
    pub fn new_run_interval(&self, settings: &Settings) -> Result<NewRun, Refusal> {
        self.machinery
            .new_response(&self.machinery.asked(settings)?)
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
    /// None without residual degrees of freedom.
    /// # Errors
    /// As for [`Self::estimate`], for either of the settings.
    pub fn covariance(
        &self,
        settings: &Settings,
        other: &Settings,
    ) -> Result<Option<f64>, Refusal> {
        let asked = self.machinery.asked(settings)?;
        self.machinery
            .response_covariance(&asked, &self.machinery.asked(other)?)
    }
}
