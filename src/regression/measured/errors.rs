//! The errors of combinations of coefficients, and what scatters a new run.
//!
//! In: the scatter of a plain fit, or what a measured one knows. Out: covariances, degrees of freedom, [`RunScatter`].
//! This module never knows which terms a combination stands for.

use twofloat::TwoFloat;

use super::covariance::MeanVariances;
use super::scatter_by_level::ByLevel;
use super::small_sample::SmallSample;
use crate::distributions::{coverage_factor, mean};
use crate::regression::algebra::{Matrix, dot};
use crate::regression::design::Basis;
use crate::regression::estimate::RunScatter;

/// Degrees of freedom below which a t says nothing of the middle of its distribution.
const FEWEST_DEGREES: f64 = 4.0;

/// What is known of the errors of the coefficients.
#[derive(Debug, Clone)]
pub(crate) enum Errors {
    /// All runs scatter alike and independently.
    Alike {
        /// Residual mean square; None without residual degrees of freedom.
        mean_square: Option<f64>,
        degrees_of_freedom: f64,
        /// How many standard errors an interval reaches to either side.
        reach: Option<f64>,
    },
    /// They have errors in common, or of different size.
    Measured(Box<MeasuredErrors>),
}

/// Errors of a fit that knows the measurement.
#[derive(Debug, Clone)]
pub(crate) struct MeasuredErrors {
    pub sample: SmallSample,
    pub scatter: NewRunVariances,
}

/// What scatters a new run about its expected value.
#[derive(Debug, Clone)]
pub(crate) struct NewRunVariances {
    /// One, or one for each level of a choice with scatter of its own.
    pub run_to_run: Vec<f64>,
    /// Which of them is that of each run.
    pub of_runs: Vec<usize>,
    /// Which of them is that of each level.
    pub by_level: Option<ByLevel>,
    pub blocks: Vec<f64>,
    pub measurement: MeanVariances,
}

impl NewRunVariances {
    /// The variance from run to run where each counts by these shares.
    pub fn run_to_run_at(&self, shares: &[f64]) -> f64 {
        dot(&self.run_to_run, shares)
    }

    /// Its mean over the runs made.
    pub fn mean_run_to_run(&self) -> f64 {
        match self.run_to_run[..] {
            [only] => only,
            _ => mean(
                &self
                    .of_runs
                    .iter()
                    .map(|&of| self.run_to_run[of])
                    .collect::<Vec<_>>(),
            ),
        }
    }
}

impl MeasuredErrors {
    /// A variance of a new run with degrees of freedom enough to say something.
    ///
    /// A scatter that is estimated near zero is known so badly beside itself that a t of so few degrees of freedom has
    /// no middle left; one standard error more of each variance stands for what it may be.
    pub fn told_well(
        &self,
        variance: f64,
        degrees: f64,
        shares: &[f64],
        residual_df: f64,
    ) -> (f64, f64) {
        if degrees >= FEWEST_DEGREES {
            return (variance, degrees);
        }
        let held = self.sample.held(shares).into_iter().enumerate();
        let more: f64 = held
            .map(|(v, share)| share * self.sample.error_of_variance(v))
            .sum();
        (variance + more, residual_df)
    }
}

impl Errors {
    /// The covariance of two combinations of coded coefficients; None without residual degrees of freedom.
    ///
    /// `σ² c₁ᵀ(XᵀX)⁻¹c₂` in a plain fit, that of Kenward and Roger in a measured one.
    pub fn covariance(&self, basis: &Basis, one: &[f64], other: &[f64]) -> Option<f64> {
        match self {
            Errors::Alike { mean_square, .. } => {
                let shared = dot(&basis.whitened(one), &basis.whitened(other));
                mean_square.map(|mean_square| mean_square * shared)
            }
            Errors::Measured(errors) => {
                let sample = &errors.sample;
                Some(sample.covariance(&sample.scaled(one), &sample.scaled(other)))
            }
        }
    }

    /// The covariances of some combinations, each with each; None without residual degrees of freedom.
    pub fn covariances(&self, basis: &Basis, combinations: &[Vec<f64>]) -> Option<Matrix> {
        match self {
            Errors::Alike { mean_square, .. } => {
                let whitened = combinations.iter().map(|one| basis.whitened(one));
                let whitened: Vec<Vec<f64>> = whitened.collect();
                let square = (*mean_square)?;
                Some(Matrix::of_pairs(&whitened, |one, other| {
                    square * dot(one, other)
                }))
            }
            Errors::Measured(errors) => Some(errors.sample.covariances(combinations)),
        }
    }

    /// The standard error of a combination, None without residual degrees of freedom, and its degrees of freedom.
    pub fn of_combination(&self, basis: &Basis, combination: &[TwoFloat]) -> (Option<f64>, f64) {
        match self {
            Errors::Alike {
                mean_square,
                degrees_of_freedom,
                ..
            } => {
                let variance = basis.variance(combination);
                let error = mean_square.map(|mean_square| (mean_square * variance).sqrt());
                (error, *degrees_of_freedom)
            }
            Errors::Measured(errors) => {
                let sample = &errors.sample;
                // In doubled precision where plain precision would cost digits.
                let scaled = match basis.is_fine() {
                    true => sample.scaled_doubled(combination),
                    false => {
                        let plain: Vec<f64> = combination.iter().map(TwoFloat::hi).collect();
                        sample.scaled(&plain)
                    }
                };
                let error = sample.covariance(&scaled, &scaled).max(0.0).sqrt();
                (Some(error), sample.degrees_of_freedom(&scaled))
            }
        }
    }

    /// The variances from run to run, then those of blocks; None of a plain fit.
    pub fn variances(&self) -> Option<Vec<f64>> {
        match self {
            Errors::Alike { .. } => None,
            Errors::Measured(errors) => {
                let scatter = &errors.scatter;
                Some([scatter.run_to_run.as_slice(), &scatter.blocks].concat())
            }
        }
    }

    /// The choice whose levels scatter differently.
    pub fn by_level(&self) -> Option<&ByLevel> {
        match self {
            Errors::Alike { .. } => None,
            Errors::Measured(errors) => errors.scatter.by_level.as_ref(),
        }
    }

    /// The variance of a combination that is a mean over levels of blocks, with a way to its degrees of freedom; None in a
    /// plain fit, where it is a combination like others.
    pub fn of_mean(&self, combination: &[f64]) -> Option<(f64, impl FnOnce() -> f64)> {
        let Errors::Measured(errors) = self else {
            return None;
        };
        let sample = &errors.sample;
        let scaled = sample.scaled(combination);
        let variance = sample.covariance_of_means(&scaled, &scaled).max(0.0);
        Some((variance, move || sample.degrees_of_mean(&scaled)))
    }

    /// What scatters a new run at a value of the response, on the scale of the fit, of which the response has this slope.
    ///
    /// Each variance from run to run counts by its share.
    pub fn scatter(&self, response: f64, slope: f64, shares: &[f64]) -> Option<RunScatter> {
        match self {
            Errors::Alike { mean_square, .. } => mean_square.map(|mean_square| RunScatter {
                run_to_run: mean_square,
                between_blocks: 0.0,
                own_measurement: 0.0,
                shared_measurement: 0.0,
            }),
            Errors::Measured(errors) => {
                let scatter = &errors.scatter;
                let on_scale = |variance: f64| variance / (slope * slope);
                Some(RunScatter {
                    run_to_run: scatter.run_to_run_at(shares),
                    between_blocks: scatter.blocks.iter().sum(),
                    own_measurement: on_scale(scatter.measurement.own.at(response)),
                    shared_measurement: on_scale(scatter.measurement.shared.at(response)),
                })
            }
        }
    }

    /// The degrees of freedom of the variance of a new run whose expected value is that of a combination.
    pub fn degrees_of_new_run(&self, combination: &[f64], variance: f64, shares: &[f64]) -> f64 {
        match self {
            Errors::Alike {
                degrees_of_freedom, ..
            } => *degrees_of_freedom,
            Errors::Measured(errors) => {
                let scaled = errors.sample.scaled(combination);
                errors.sample.degrees_of_new_run(&scaled, variance, shares)
            }
        }
    }

    /// The variance by which the true value of a new run scatters, and its degrees of freedom.
    ///
    /// None without residual degrees of freedom.
    pub fn true_scatter(&self, shares: &[f64], residual_df: f64) -> Option<(f64, f64)> {
        match self {
            Errors::Alike {
                mean_square,
                degrees_of_freedom,
                ..
            } => mean_square.map(|mean_square| (mean_square, *degrees_of_freedom)),
            Errors::Measured(errors) => {
                let scatter = &errors.scatter;
                let variance = scatter.run_to_run_at(shares) + scatter.blocks.iter().sum::<f64>();
                let degrees = errors.sample.degrees(variance, &errors.sample.held(shares));
                Some(errors.told_well(variance, degrees, shares, residual_df))
            }
        }
    }

    /// How many standard errors an interval of this confidence reaches to either side.
    pub fn reach(&self, confidence: f64, degrees_of_freedom: f64) -> Option<f64> {
        match self {
            Errors::Alike { reach, .. } => *reach,
            Errors::Measured(_) => coverage_factor(confidence, degrees_of_freedom),
        }
    }
}
