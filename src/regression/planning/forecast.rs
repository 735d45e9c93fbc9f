//! How well would a contrast be known after further runs?
//!
//! In: a planner, a contrast, the settings of runs to make. Out: [`Forecast`].
//! This module never plans a run, and never promises more than the variances of the fit allow.

use super::planner::Planner;
use crate::regression::{Settings, Weighted};

/// The standard error of a contrast with its degrees of freedom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// Standard error, in the unit of the response.
    pub standard_error: f64,
    /// Degrees of freedom of it.
    pub degrees_of_freedom: f64,
}

impl Planner {
    /// How well the model knows a contrast; None if its runs cannot tell it, or without residual degrees of freedom.
    pub fn known_now(&self, contrast: &[Weighted]) -> Option<Forecast> {
        let estimate = self.model()?.weighted_sum(contrast).ok()?;
        Some(Forecast {
            standard_error: estimate.standard_error.filter(|error| *error > 0.0)?,
            degrees_of_freedom: estimate.degrees_of_freedom,
        })
    }

    /// How well it would be known after these runs too.
    ///
    /// The standard error of the model, smaller by the root of the ratio of the planner's variances; degrees of freedom
    /// grow as the residual ones do. Where the runs made cannot tell the contrast, the planner's own variance with the
    /// residual degrees of freedom. None where these runs cannot tell it either.
    ///
    /// # Assumes
    /// The variances of the fit stay as they are: how far the new runs scatter is not known before they are made.
    pub fn known_after(&self, runs: &[Settings], contrast: &[Weighted]) -> Option<Forecast> {
        let after = self.variance_after(runs, contrast)?;
        let residual_df = self.model()?.residual_df as f64;
        let more = runs.len().saturating_sub(self.terms_found(runs)) as f64;
        if let Some(now) = self.known_now(contrast)
            && let Some(before) = self.variance_now(contrast)
        {
            return Some(Forecast {
                standard_error: now.standard_error * (after / before).sqrt(),
                degrees_of_freedom: now.degrees_of_freedom * (residual_df + more) / residual_df,
            });
        }
        self.variance_of_a_run()?;
        Some(Forecast {
            standard_error: after.sqrt(),
            degrees_of_freedom: residual_df + more,
        })
    }
}
