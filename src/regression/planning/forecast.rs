//! How well contrasts and terms would be known after further runs.
//!
//! In: a planner, a contrast, the settings of runs to make. Out: [`Forecast`]s, and names of terms.
//! This module never plans a run, and never promises more than the variances of the fit allow.

use super::planner::{Planner, UNKNOWN};
use super::runs_made::FREE;
use crate::regression::{Settings, TermName, Weighted};

/// Growth of a variance without a run from which on the run counts as one that tells of the term.
const TELLS: f64 = 1.1;

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
    ///
    /// # Units and shapes
    /// The contrast is a weighted sum of mean responses, in the unit of the response.
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
            && let Some(before) = self.variance_after(&[], contrast)
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

    /// Terms that the runs made and these cannot tell, with the levels of blocks as free as any term.
    ///
    /// A term counts as not known while its variance is more than a thousandth of that of a term of which nothing is known.
    /// The constant is left out where there are blocks: it cannot be told from all their levels together.
    pub fn unknown_terms(&self, extra: &[Settings]) -> Vec<TermName> {
        let names = self.terms();
        self.free_variances(extra)
            .into_iter()
            .zip(names)
            .filter(|(variance, name)| *variance > UNKNOWN * FREE && !self.is_free_constant(name))
            .map(|(_, name)| name)
            .collect()
    }

    /// How many terms become known by these runs.
    pub fn terms_found(&self, runs: &[Settings]) -> usize {
        let before = self.unknown_terms(&[]).len();
        before.saturating_sub(self.unknown_terms(runs).len())
    }

    /// The terms, unknown so far, that are known less well without one of the runs: by more than a tenth of their variance.
    ///
    /// # Units and shapes
    /// `run` is a position among `runs`; one beyond them serves no term.
    pub fn terms_served(&self, runs: &[Settings], run: usize) -> Vec<TermName> {
        let unknown = self.unknown_terms(&[]);
        let mut without = runs.to_vec();
        if run < without.len() {
            without.remove(run);
        }
        let (with, without) = (self.free_variances(runs), self.free_variances(&without));
        self.terms()
            .into_iter()
            .zip(with.into_iter().zip(without))
            .filter(|(name, (with, without))| *without > TELLS * with && unknown.contains(name))
            .map(|(name, _)| name)
            .collect()
    }
}
