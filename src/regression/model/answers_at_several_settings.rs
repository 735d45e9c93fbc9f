//! Answers about several settings at once: sums, weights of runs, draws, chances.
//!
//! In: a fitted model and several [`Settings`]. Out: sums of means, the weight of each run in a mean, seeded draws of what
//! the true means may be, and chances of a new run.
//! This module never draws without a seed, and never decides what a chance is good for.

use super::estimates::Machinery;
use super::fitted::FittedModel;
use crate::distributions::t_upper;
use crate::regression::algebra::{Matrix, add};
use crate::regression::asked::{ResponseScale, Settings};
use crate::regression::estimable::Refusal;
use crate::regression::estimate::Estimate;
use crate::regression::measured::Errors;
use crate::seeded::Seeded;

/// Two numbers that differ by this share are the same but for rounding.
const ROUNDING: f64 = 1e-9;
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
        let (value, total) = self.combined(parts)?;
        let found = machinery.estimate(&total)?;
        Ok(match machinery.scale {
            ResponseScale::Plain => found,
            ResponseScale::Logit => machinery.of_first_order(value, found, None),
        })
    }

    /// The covariance of two weighted sums of mean responses, in the squared unit of the response; of first order on the logit
    /// scale, 0 without residual degrees of freedom.
    ///
    /// # Errors
    /// As for [`Self::estimate`], for any of the settings.
    pub fn covariance_of_sums(&self, one: &[Weighted], other: &[Weighted]) -> Result<f64, Refusal> {
        let [one, other] = [self.combined(one)?, self.combined(other)?].map(|(_, total)| total);
        Ok(self.machinery.covariance(&one, &other).unwrap_or(0.0))
    }

    /// The coded combination of a weighted sum of mean responses, and its value on the logit scale.
    pub(super) fn combined(&self, parts: &[Weighted]) -> Result<(f64, Vec<f64>), Refusal> {
        let machinery = &self.machinery;
        let mut total = vec![0.0; machinery.design.columns.len()];
        let mut value = 0.0;
        for part in parts {
            let asked = machinery.asked(&part.settings)?;
            let slope = match machinery.scale {
                ResponseScale::Plain => 1.0,
                ResponseScale::Logit => {
                    let mean = machinery.value(&asked)?;
                    value += part.weight * machinery.scale.response(mean);
                    machinery.scale.slope(mean)
                }
            };
            add(&mut total, part.weight * slope, &asked);
        }
        Ok((value, total))
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
        let mean = machinery.value(&asked)?;
        let on_scale = machinery.run_weights(&asked);
        let slope = machinery.scale.slope(mean);
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
        Ok(self.drawn(settings, draws, random)?.means)
    }

    /// Draws of where all new runs at several settings may fall: their means, and how their true values scatter.
    ///
    /// Means as in [`Self::draws_of_means`]. In a plain fit the scatter belongs to the same draw, as it does in the
    /// posterior; in a measured one each is drawn by itself, `σ² ~ ν s²/χ²_ν` with `ν` the degrees of freedom of `s²`.
    ///
    /// # Units and shapes
    /// One entry a setting, in their order. In a perfect fit all draws are the mean and a scatter of zero; without residual
    /// degrees of freedom the lists are empty.
    /// # Errors
    /// As for [`Self::estimate`], for any of the settings.
    /// # Source
    /// Gelman and others, Bayesian Data Analysis, 3rd ed. 2013, 3.2 and 14.2 (posterior of a variance: scaled inverse chi-squared).
    pub fn draws_of_new_runs(
        &self,
        settings: &[Settings],
        draws: usize,
        of_means: &mut Seeded,
        of_scatter: &mut Seeded,
    ) -> Result<Vec<DrawnRuns>, Refusal> {
        let machinery = &self.machinery;
        let with = |means: Vec<f64>, scatter: Vec<f64>| DrawnRuns {
            scale: self.scale,
            means,
            scatter,
        };
        let drawn = self.drawn(settings, draws, of_means)?;
        let mut found = Vec::with_capacity(settings.len());
        let mut known: Vec<(Vec<f64>, Vec<f64>)> = Vec::new();
        for (means, settings) in drawn.means.into_iter().zip(settings) {
            if machinery.perfect && self.residual_df > 0 {
                let mean = self.mean(settings)?;
                found.push(with(vec![mean; draws], vec![0.0; draws]));
                continue;
            }
            let shares = machinery.shares(&machinery.mix(settings)?);
            let scatter = machinery
                .errors
                .true_scatter(&shares, self.residual_df as f64)
                .filter(|_| !means.is_empty());
            let Some((variance, degrees)) = scatter else {
                found.push(with(Vec::new(), Vec::new()));
                continue;
            };
            // Settings with the same scatter are given the same draw of it.
            if let Some((_, scatter)) = known.iter().find(|(before, _)| *before == shares) {
                found.push(with(means, scatter.clone()));
                continue;
            }
            let own = |stretch: f64| variance.sqrt() * stretch;
            let scatter: Vec<f64> = match &machinery.errors {
                Errors::Alike { .. } => drawn.stretches.iter().copied().map(own).collect(),
                Errors::Measured(_) => {
                    let stretches = (0..draws).map(|_| stretch(degrees, of_scatter));
                    stretches.map(own).collect()
                }
            };
            known.push((shares, scatter.clone()));
            found.push(with(means, scatter));
        }
        Ok(found)
    }

    /// The chance that the true value of one new run at these settings is at least a limit.
    ///
    /// True values scatter from run to run and between blocks, and the mean is not exactly known; the measurement of the
    /// new run itself is left out. In a plain fit the scatter from run to run holds the measurement, so that the chance
    /// lies a little nearer to one half. Where levels of a choice scatter differently, it is that of the level that the
    /// settings name.
    ///
    /// # Units and shapes
    /// The limit in the unit of the response. In a perfect fit, and where nothing scatters, it is 0 or 1; None without
    /// residual degrees of freedom.
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
        let mix = machinery.mix(settings)?;
        let shares = machinery.shares(&mix);
        let asked = machinery.asked(settings)?;
        // Only what the chance needs: an interval would take a hundred times as long.
        let mean = machinery.rough(&asked)?;
        let scatter = machinery.scatter(mean.value, &shares);
        let Some((error, scatter)) = mean.variance.zip(scatter) else {
            return Ok(None);
        };
        let on_scale = machinery.scale.fitted(limit);
        let variance = error + (scatter.run_to_run + scatter.between_blocks);
        if machinery.perfect || variance <= 0.0 {
            let reached = mean.value >= on_scale - ROUNDING * on_scale.abs();
            return Ok(Some(if reached { 1.0 } else { 0.0 }));
        }
        let degrees = machinery
            .errors
            .degrees_of_new_run(&asked, variance, &shares);
        let (variance, degrees) = match &machinery.errors {
            Errors::Measured(errors) => {
                errors.told_well(variance, degrees, &shares, self.residual_df as f64)
            }
            Errors::Alike { .. } => (variance, degrees),
        };
        let away = (on_scale - mean.value) / variance.sqrt();
        Ok(t_upper(away, degrees))
    }

    /// Draws of means, with what stretches the errors of each draw.
    fn drawn(
        &self,
        settings: &[Settings],
        draws: usize,
        random: &mut Seeded,
    ) -> Result<DrawnMeans, Refusal> {
        let machinery = &self.machinery;
        let asked = settings.iter().map(|settings| machinery.asked(settings));
        let asked = asked.collect::<Result<Vec<_>, _>>()?;
        let mean = |combination: &Vec<f64>| machinery.estimate(combination);
        let means = asked.iter().map(mean).collect::<Result<Vec<_>, _>>()?;
        let mut found = DrawnMeans {
            means: vec![Vec::new(); settings.len()],
            stretches: Vec::new(),
        };
        if machinery.perfect || means.iter().any(|mean| mean.standard_error.is_none()) {
            return Ok(found);
        }
        let Some(covariance) = machinery.errors.covariances(&machinery.basis, &asked) else {
            return Ok(found);
        };
        let root = lower_root(&covariance, asked.len());
        let degrees = machinery.fewest_degrees(&asked, &means);
        for _ in 0..draws {
            let normal: Vec<f64> = asked.iter().map(|_| random.normal()).collect();
            let stretch = stretch(degrees, random);
            found.stretches.push(stretch);
            for (row, list) in found.means.iter_mut().enumerate() {
                let error: f64 = (0..=row).map(|k| root.get(row, k) * normal[k]).sum();
                let on_scale = means[row].value + stretch * error;
                list.push(machinery.scale.response(on_scale));
            }
        }
        Ok(found)
    }
}

/// `√(ν/χ²_ν)`: what turns a draw with known variance into one with a variance of so many degrees of freedom.
fn stretch(degrees: f64, random: &mut Seeded) -> f64 {
    let squares = random.chi_squared(degrees);
    squares.map_or(1.0, |squares| (degrees / squares).sqrt())
}

/// Draws of means by settings, and the stretch of each draw.
struct DrawnMeans {
    means: Vec<Vec<f64>>,
    stretches: Vec<f64>,
}

/// Draws of where all new runs at some settings may fall.
#[derive(Debug, Clone, PartialEq)]
pub struct DrawnRuns {
    /// The scale on which true values are normal about their mean.
    pub scale: ResponseScale,
    /// Means, in the unit of the response.
    pub means: Vec<f64>,
    /// Standard deviations of the true values of runs on that scale, one a mean; measurement is no part of them.
    pub scatter: Vec<f64>,
}

impl DrawnRuns {
    /// By how many standard deviations a limit lies above the mean, draw by draw; infinite without scatter.
    pub fn above_the_mean(&self, limit: f64) -> Vec<f64> {
        let limit = self.scale.fitted(limit);
        let draws = self.means.iter().zip(&self.scatter);
        let away = |(&mean, &scatter): (&f64, &f64)| {
            let away = limit - self.scale.fitted(mean);
            if scatter > 0.0 {
                away / scatter
            } else if away <= ROUNDING * limit.abs() {
                f64::NEG_INFINITY
            } else {
                f64::INFINITY
            }
        };
        draws.map(away).collect()
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
