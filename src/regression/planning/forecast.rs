//! How well contrasts and terms would be known after further runs.
//!
//! In: a planner, a contrast, the settings of runs to make. Out: [`Forecast`]s with widths and chances, and names of terms.
//! This module never plans a run, and never takes the scatter that the runs made showed for the true one.

use super::planner::{After, Planner, UNKNOWN};
use super::runs_made::FREE;
use crate::distributions::coverage_factor;
use crate::regression::algebra::studentised_range::{Scale, normal_lower, scales};
use crate::regression::{Settings, TermName, Weighted};

/// Growth of a variance without a run from which on the run counts as one that tells of the term.
const TELLS: f64 = 1.1;

/// Degrees of freedom below which too little is known of the scatter: with two of them the true standard deviation may be six
/// times the estimate and still lie within its interval of 95 %, with three not quite four times.
const FEWEST_DEGREES: f64 = 3.0;

/// Parts of the weight that are left out of a sum over what the scatter may be: far below any chance that is said.
const NO_WEIGHT: f64 = 1e-14;

/// The standard error of a contrast with its degrees of freedom, if all runs scatter as those made did.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// Standard error, in the unit of the response.
    pub standard_error: f64,
    /// Degrees of freedom of it.
    pub degrees_of_freedom: f64,
    /// Degrees of freedom that the scatter behind it is known with from the runs made.
    pub known_with: f64,
    /// Residual degrees of freedom of the runs made.
    pub residual_df: usize,
}

/// Why nothing can be said of what further runs would bring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoForecast {
    /// These runs cannot tell it.
    CannotBeTold,
    /// The runs made tell too little of the scatter.
    ScatterUnknown {
        /// Degrees of freedom that it is known with; fewer than `FEWEST_DEGREES`.
        degrees_of_freedom: f64,
    },
}

/// One way in which the scatter may turn out, each variance over the one that the runs made gave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outcome {
    /// The true variance.
    pub scatter: f64,
    /// The variance that all runs together would give.
    pub estimate: f64,
    /// How likely; all together make one.
    pub weight: f64,
}

impl Forecast {
    /// What the scatter may turn out to be, from what the runs made tell of it.
    ///
    /// With `s²` the variance of `ν` degrees of freedom from the runs made, the true one is `σ² = ν s²/X`, and the one of all
    /// runs `s'² = (ν s² + σ² Y)/(ν + m)`: `X` and `Y` are chi-squared with `ν` degrees of freedom and with the `m` that come
    /// to them. Both are summed over even steps of their logarithms.
    ///
    /// # Assumes
    /// Before the runs were made any size of scatter was as likely as any other (flat in `ln σ`).
    /// # Errors
    /// [`NoForecast::ScatterUnknown`] below three degrees of freedom.
    /// # Source
    /// Box and Tiao, Bayesian Inference in Statistical Analysis, 1973, 2.3 (the variance given `s²`) and 2.8.
    pub fn outcomes(&self) -> Result<Vec<Outcome>, NoForecast> {
        let degrees_of_freedom = self.known_with.min(self.residual_df as f64);
        if degrees_of_freedom < FEWEST_DEGREES {
            return Err(NoForecast::ScatterUnknown { degrees_of_freedom });
        }
        let known = self.share_known();
        let surely = [Scale {
            size: 1.0,
            weight: 1.0,
        }];
        let further = match known < 1.0 {
            true => scales(self.degrees_of_freedom - self.known_with),
            false => surely.into(),
        };
        let made = scales(self.known_with);
        let mut all: Vec<Outcome> = made
            .iter()
            .flat_map(|made| {
                let scatter = 1.0 / (made.size * made.size);
                further.iter().map(move |new| Outcome {
                    scatter,
                    estimate: known + (1.0 - known) * scatter * new.size * new.size,
                    weight: made.weight * new.weight,
                })
            })
            .collect();
        all.retain(|outcome| outcome.weight > NO_WEIGHT);
        Ok(all)
    }

    /// The part of the degrees of freedom that the runs made give.
    fn share_known(&self) -> f64 {
        if self.known_with.is_finite() {
            self.known_with / self.degrees_of_freedom
        } else {
            1.0
        }
    }

    /// Half the width of the interval that is to be expected: the mean over all outcomes.
    ///
    /// # Units and shapes
    /// In the unit of the response. That of the runs made is no forecast, and is told with any degrees of freedom.
    /// # Errors
    /// As [`Self::outcomes`]; [`NoForecast::CannotBeTold`] unless `confidence` lies between 0 and 1.
    pub fn half_width(&self, confidence: f64) -> Result<f64, NoForecast> {
        let factor = coverage_factor(confidence, self.degrees_of_freedom);
        let reach = factor.ok_or(NoForecast::CannotBeTold)? * self.standard_error;
        if self.share_known() >= 1.0 {
            return Ok(reach);
        }
        let of = |outcome: &Outcome| outcome.weight * outcome.estimate.sqrt();
        Ok(reach * self.outcomes()?.iter().map(of).sum::<f64>())
    }

    /// Chance that the interval leaves zero out when the true contrast is `difference`: the mean over all outcomes.
    ///
    /// `Φ(δ − c) + Φ(−δ − c)` with `δ = d/(e √o)` and `c = t √(a/o)`: `d` the difference, `e` the standard error, `o` and `a`
    /// the true and the estimated variance of an outcome, `t` the factor of the interval.
    ///
    /// # Units and shapes
    /// `difference` in the unit of the response; `confidence` that of the interval, between 0 and 1.
    /// # Errors
    /// As [`Self::half_width`].
    pub fn power(&self, difference: f64, confidence: f64) -> Result<f64, NoForecast> {
        let factor = coverage_factor(confidence, self.degrees_of_freedom);
        let factor = factor.ok_or(NoForecast::CannotBeTold)?;
        let seen = |outcome: &Outcome| {
            let away = difference / (self.standard_error * outcome.scatter.sqrt());
            let bound = factor * (outcome.estimate / outcome.scatter).sqrt();
            outcome.weight * (normal_lower(away - bound) + normal_lower(-away - bound))
        };
        let chance: f64 = self.outcomes()?.iter().map(seen).sum();
        Ok(chance.min(1.0))
    }
}

impl Planner {
    /// How well the model knows a contrast; None if its runs cannot tell it, or without residual degrees of freedom.
    ///
    /// # Units and shapes
    /// The contrast is a weighted sum of mean responses, in the unit of the response.
    pub fn known_now(&self, contrast: &[Weighted]) -> Option<Forecast> {
        let model = self.model()?;
        let estimate = model.weighted_sum(contrast).ok()?;
        Some(Forecast {
            standard_error: estimate.standard_error.filter(|error| *error > 0.0)?,
            degrees_of_freedom: estimate.degrees_of_freedom,
            known_with: estimate.degrees_of_freedom,
            residual_df: model.residual_df,
        })
    }

    /// How well it would be known after these runs too, if they scatter as those made did, as [`Outlook::after`] has it.
    ///
    /// # Errors
    /// As [`Outlook::after`].
    pub fn known_after(
        &self,
        runs: &[Settings],
        contrast: &[Weighted],
    ) -> Result<Forecast, NoForecast> {
        self.outlook(contrast).after(&self.after(runs))
    }

    /// What is known of a contrast, to be asked what it will be after further runs.
    pub fn outlook<'c>(&self, contrast: &'c [Weighted]) -> Outlook<'c> {
        let made = self.after(&[]);
        Outlook {
            contrast,
            now: self.known_now(contrast),
            before: made.variance(contrast),
            unknown: made.unknown_terms().len(),
        }
    }

    /// Terms that the runs made and these cannot tell, with the levels of blocks as free as any term.
    ///
    /// A term counts as not known while its variance is more than a thousandth of that of a term of which nothing is known.
    /// The constant is left out where there are blocks: it cannot be told from all their levels together.
    pub fn unknown_terms(&self, extra: &[Settings]) -> Vec<TermName> {
        self.after(extra).unknown_terms()
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
        let [with, without] = [runs, &without].map(|runs| self.after(runs).free_variances());
        self.terms()
            .into_iter()
            .zip(with.into_iter().zip(without))
            .filter(|(name, (with, without))| *without > TELLS * with && unknown.contains(name))
            .map(|(name, _)| name)
            .collect()
    }
}

/// What is known of a contrast from the runs made.
pub struct Outlook<'c> {
    contrast: &'c [Weighted],
    now: Option<Forecast>,
    /// Variance by the planner.
    before: Option<f64>,
    /// Terms that cannot be told.
    unknown: usize,
}

impl Outlook<'_> {
    /// How well the contrast would be known after further runs, if they scatter as those made did.
    ///
    /// The standard error of the model, smaller by the root of the ratio of the planner's variances; degrees of freedom
    /// grow as the residual ones do. Where the runs made cannot tell the contrast, the planner's own variance with the
    /// residual degrees of freedom.
    ///
    /// # Assumes
    /// The ratio of the variances of the fit stays as it is; [`Forecast::outcomes`] draws their size.
    /// # Errors
    /// [`NoForecast`] where these runs cannot tell it either, and where the runs made tell too little of the scatter.
    pub fn after(&self, runs: &After) -> Result<Forecast, NoForecast> {
        let after = runs.variance(self.contrast).zip(runs.planner.model());
        let (after, model) = after.ok_or(NoForecast::CannotBeTold)?;
        let residual_df = model.residual_df;
        let known_with = residual_df as f64;
        if known_with < FEWEST_DEGREES {
            return Err(NoForecast::ScatterUnknown {
                degrees_of_freedom: known_with,
            });
        }
        let found = self.unknown.saturating_sub(runs.unknown_terms().len());
        let more = runs.runs.saturating_sub(found) as f64;
        if let Some((now, before)) = self.now.zip(self.before) {
            return Ok(Forecast {
                standard_error: now.standard_error * (after / before).sqrt(),
                degrees_of_freedom: now.degrees_of_freedom * (known_with + more) / known_with,
                ..now
            });
        }
        Ok(Forecast {
            standard_error: after.sqrt(),
            degrees_of_freedom: known_with + more,
            known_with,
            residual_df,
        })
    }
}

impl After<'_> {
    /// Terms that cannot be told, as [`Planner::unknown_terms`] has them.
    pub fn unknown_terms(&self) -> Vec<TermName> {
        let variances = self.free_variances().into_iter();
        let named = variances.zip(self.planner.terms());
        let unknown = named.filter(|(variance, name)| {
            *variance > UNKNOWN * FREE && !self.planner.is_free_constant(name)
        });
        unknown.map(|(_, name)| name).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sums over even steps of a logarithm keep at least eight digits here.
    const SUMMED: f64 = 1e-8;

    fn forecast(standard_error: f64, known_with: f64, more: f64) -> Forecast {
        Forecast {
            standard_error,
            degrees_of_freedom: known_with + more,
            known_with,
            residual_df: known_with as usize,
        }
    }

    #[test]
    fn from_the_runs_made_it_is_the_chance_of_a_moved_t() {
        // The estimate over its standard error is then t with 4 degrees of freedom, moved by 3: beyond ±2.7764 with a chance of
        // 0.585201676 by Simpson's rule over the density.
        let found = forecast(1.0 / 3.0, 4.0, 0.0).power(1.0, 0.95).unwrap();
        assert!((found - 0.585_201_676).abs() < SUMMED, "{found}");
    }

    #[test]
    fn the_width_to_come_is_the_mean_over_what_the_scatter_may_be() {
        // By hand for 4 degrees of freedom and 4 more: E √((1 + F)/2) with F of 4 and 4, density 6x/(1 + x)⁴, is
        // 6/√2 · B(2, 1.5) = 6/√2 · 4/15; t with 8 degrees of freedom is 2.306004135.
        let found = forecast(0.7, 4.0, 4.0).half_width(0.95).unwrap();
        let expected = 0.7 * 2.306_004_135 * 6.0 / 2.0_f64.sqrt() * 4.0 / 15.0;
        assert!(
            (found / expected - 1.0).abs() < SUMMED,
            "{found} {expected}"
        );
    }

    #[test]
    fn nothing_is_foretold_below_three_degrees_of_freedom() {
        let little = forecast(1.0, 2.9, 8.0);
        let unknown = |degrees_of_freedom| NoForecast::ScatterUnknown { degrees_of_freedom };
        assert_eq!(little.power(1.0, 0.95), Err(unknown(2.0)));
        assert_eq!(little.half_width(0.95), Err(unknown(2.0)));
        // What the runs made tell is no forecast: t with two degrees of freedom is 4.3027.
        let now = forecast(1.0, 2.0, 0.0);
        assert!((now.half_width(0.95).unwrap() - 4.3027).abs() < 1e-4);
        assert_eq!(now.power(1.0, 0.95), Err(unknown(2.0)));
        assert!(forecast(1.0, 3.0, 8.0).power(1.0, 0.95).is_ok());
    }

    #[test]
    fn what_is_known_for_certain_is_not_drawn() {
        let certain = forecast(1.0, f64::INFINITY, 0.0);
        // Φ(2.5 − 1.959964) + Φ(−2.5 − 1.959964), tables of the normal distribution: 0.70542 + 0.000004.
        let found = certain.power(2.5, 0.95).unwrap();
        assert!((found - 0.70542).abs() < 1e-4, "{found}");
    }
}
