//! Answers about several settings at once: sums, weights of runs, draws, chances.
//!
//! In: a fitted model and several [`Settings`]. Out: sums of means, the weight of each run in a mean, seeded draws of what
//! the true means may be, and chances of a new run.
//! This module never draws without a seed, and never decides what a chance is good for.

use super::estimates::Machinery;
use super::fitted::FittedModel;
use crate::distributions::t_upper;
use crate::regression::algebra::{Matrix, add, dot};
use crate::regression::asked::{ResponseScale, Settings};
use crate::regression::estimable::Refusal;
use crate::regression::estimate::Estimate;
use crate::regression::measured::Errors;
use crate::seeded::Seeded;

/// Degrees of freedom below which a t says nothing of the middle of its distribution.
const FEWEST_DEGREES: f64 = 4.0;
/// A direction whose variance is so small a share of the largest is rounding of the others.
const NO_DIRECTION: f64 = 1e-12;

/// The mean at some settings with its weight in a sum.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighted {
    /// By how much the mean counts.
    pub weight: f64,
    /// Where it is taken.
    pub settings: Settings,
}

impl FittedModel {
    /// A weighted sum of mean responses, `Σ wᵢ ŷᵢ`, with the standard error of the whole.
    ///
    /// On the logit scale the standard error is of first order, and there is no chance of zero.
    ///
    /// # Units and shapes
    /// In the unit of the response times that of the weights.
    /// # Errors
    /// As for [`Self::estimate`]; a sum may be known where its parts are not, but not on the logit scale.
    /// # Source
    /// JCGM 100:2008, 5.2.2 (correlated inputs); degrees of freedom as for any combination of coefficients.
    pub fn weighted_sum(&self, parts: &[Weighted]) -> Result<Estimate, Refusal> {
        let machinery = &self.machinery;
        let mut total = vec![0.0; machinery.design.columns.len()];
        let mut value = 0.0;
        for part in parts {
            let asked = machinery.asked(&part.settings)?;
            let slope = match machinery.scale {
                ResponseScale::Plain => 1.0,
                ResponseScale::Logit => {
                    let mean = machinery.estimate(&asked)?.value;
                    value += part.weight * machinery.scale.response(mean);
                    machinery.scale.slope(mean)
                }
            };
            add(&mut total, part.weight * slope, &asked);
        }
        let found = machinery.estimate(&total)?;
        Ok(match machinery.scale {
            ResponseScale::Plain => found,
            ResponseScale::Logit => machinery.of_first_order(value, found, None),
        })
    }

    /// By how much the mean at these settings would change per change of the response of each run.
    ///
    /// # Units and shapes
    /// One number a run, in run order, without unit; they sum to 1 where the model has a constant and a plain scale.
    /// # Assumes
    /// The variances stay as they are.
    /// # Errors
    /// As for [`Self::estimate`].
    /// # Source
    /// `xᵀ(XᵀV⁻¹X)⁻¹XᵀV⁻¹`: Searle, Linear Models, 1971, 3.6; in a plain fit `V` is the unit matrix.
    pub fn run_weights(&self, settings: &Settings) -> Result<Vec<f64>, Refusal> {
        let machinery = &self.machinery;
        let asked = machinery.asked(settings)?;
        let mean = machinery.estimate(&asked)?;
        let on_scale: Vec<f64> = match &machinery.errors {
            Errors::Measured(errors) => errors.sample.run_weights(&errors.sample.scaled(&asked)),
            Errors::Alike { .. } => {
                let whitened = machinery.basis.whitened(&asked);
                let basis = &machinery.basis;
                let rows = (0..machinery.data.runs.len()).map(|run| machinery.row(run));
                rows.map(|row| dot(&whitened, &basis.whitened(&row)))
                    .collect()
            }
        };
        let slope = machinery.scale.slope(mean.value);
        // The responses of the fit stand on its scale already.
        let of_run = |run: usize| machinery.scale.slope(machinery.data.response[run]);
        let weights = on_scale.iter().enumerate();
        Ok(weights
            .map(|(run, weight)| weight * slope / of_run(run))
            .collect())
    }

    /// Draws of what the true means at several settings may be, all of them from one draw of the coefficients.
    ///
    /// The coefficients are those of the fit plus a draw of their errors: multivariate t about the estimates, with the
    /// fewest degrees of freedom of any difference from the first of the settings (of the mean itself, if there is one).
    ///
    /// # Units and shapes
    /// One list a setting, in their order, each with `draws` numbers in the unit of the response. Without residual degrees
    /// of freedom, or in a perfect fit, the lists are empty.
    /// # Assumes
    /// Nothing is known of the means but what the runs tell.
    /// # Errors
    /// As for [`Self::estimate`], for any of the settings.
    /// # Source
    /// Gelman and others, Bayesian Data Analysis, 3rd ed. 2013, 14.2 (flat prior: the posterior of coefficients is t).
    pub fn draws_of_means(
        &self,
        settings: &[Settings],
        draws: usize,
        random: &mut Seeded,
    ) -> Result<Vec<Vec<f64>>, Refusal> {
        let machinery = &self.machinery;
        let asked = settings.iter().map(|settings| machinery.asked(settings));
        let asked = asked.collect::<Result<Vec<_>, _>>()?;
        let mean = |combination: &Vec<f64>| machinery.estimate(combination);
        let means = asked.iter().map(mean).collect::<Result<Vec<_>, _>>()?;
        let nothing = vec![Vec::new(); settings.len()];
        if machinery.perfect || means.iter().any(|mean| mean.standard_error.is_none()) {
            return Ok(nothing);
        }
        // A mean with a standard error has covariances too.
        let covariance = Matrix::of_pairs(&asked, |one, other| {
            machinery.covariance(one, other).unwrap_or(0.0)
        });
        let root = lower_root(&covariance, asked.len());
        let degrees = machinery.fewest_degrees(&asked, &means);
        let mut found = vec![Vec::with_capacity(draws); asked.len()];
        for _ in 0..draws {
            let normal: Vec<f64> = asked.iter().map(|_| random.normal()).collect();
            let squares = random.chi_squared(degrees);
            let stretch = squares.map_or(1.0, |squares| (degrees / squares).sqrt());
            for (row, list) in found.iter_mut().enumerate() {
                let error: f64 = (0..=row).map(|k| root.get(row, k) * normal[k]).sum();
                let on_scale = means[row].value + stretch * error;
                list.push(machinery.scale.response(on_scale));
            }
        }
        Ok(found)
    }

    /// The chance that the true value of one new run at these settings is at least a limit.
    ///
    /// True values scatter from run to run and between blocks, and the mean is not exactly known; the measurement of the
    /// new run itself is left out. In a plain fit the scatter from run to run holds the measurement, so that the chance
    /// lies a little nearer to one half.
    ///
    /// # Units and shapes
    /// The limit in the unit of the response; None without residual degrees of freedom, or in a perfect fit.
    /// # Errors
    /// As for [`Self::estimate`].
    /// # Source
    /// Hahn and Meeker, Statistical Intervals, 1991, 2.3 and 4.5 (probability of a future observation from a t).
    pub fn chance_of_new_run_above(
        &self,
        settings: &Settings,
        limit: f64,
    ) -> Result<Option<f64>, Refusal> {
        let machinery = &self.machinery;
        let asked = machinery.asked(settings)?;
        // Only what the chance needs: an interval would take a hundred times as long.
        let mean = machinery.rough(&asked)?;
        let Some((error, scatter)) = mean.variance.zip(machinery.scatter(mean.value)) else {
            return Ok(None);
        };
        let variance = error + (scatter.run_to_run + scatter.between_blocks);
        if machinery.perfect || variance <= 0.0 {
            return Ok(None);
        }
        let degrees = machinery.errors.degrees_of_new_run(&asked, variance);
        // A scatter that is estimated near zero is known so badly beside itself that a t of so few degrees of freedom has
        // no middle left; one standard error more of each variance stands for what it may be.
        let (variance, degrees) = match &machinery.errors {
            Errors::Measured(errors) if degrees < FEWEST_DEGREES => {
                let variances = 0..=errors.scatter.blocks.len();
                let more: f64 = variances.map(|v| errors.sample.error_of_variance(v)).sum();
                (variance + more, self.residual_df as f64)
            }
            _ => (variance, degrees),
        };
        let away = (machinery.scale.fitted(limit) - mean.value) / variance.sqrt();
        Ok(t_upper(away, degrees))
    }
}

impl Machinery {
    /// The fewest degrees of freedom of any difference from the first combination; of the first itself when there is no other.
    fn fewest_degrees(&self, asked: &[Vec<f64>], means: &[Estimate]) -> f64 {
        let first = &asked[0];
        let differences = asked[1..].iter().filter(|other| *other != first);
        differences
            .filter_map(|other| {
                let apart: Vec<f64> = other.iter().zip(first).map(|(a, b)| a - b).collect();
                Some(self.estimate(&apart).ok()?.degrees_of_freedom)
            })
            .min_by(f64::total_cmp)
            .unwrap_or(means[0].degrees_of_freedom)
    }
}

/// The lower root of a covariance that may lack directions, such as that of equal settings.
fn lower_root(covariance: &Matrix, size: usize) -> Matrix {
    let corners = (0..size).map(|place| covariance.get(place, place));
    let largest = corners.fold(0.0, f64::max);
    let mut root = Matrix::zeros(size, size);
    for column in 0..size {
        let taken: f64 = (0..column).map(|k| root.get(column, k).powi(2)).sum();
        let rest = covariance.get(column, column) - taken;
        if rest <= NO_DIRECTION * largest {
            continue;
        }
        let corner = rest.sqrt();
        root.set(column, column, corner);
        for row in column + 1..size {
            let products = (0..column).map(|k| root.get(row, k) * root.get(column, k));
            let known: f64 = products.sum();
            root.set(row, column, (covariance.get(row, column) - known) / corner);
        }
    }
    root
}
