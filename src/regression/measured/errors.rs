//! The errors of combinations of coefficients, and what scatters a new run.
//!
//! In: the scatter of a plain fit, or what a measured one knows. Out: covariances, degrees of freedom, [`RunScatter`].
//! This module never knows which terms a combination stands for.

use twofloat::TwoFloat;

use super::covariance::MeanVariances;
use super::small_sample::SmallSample;
use crate::distributions::coverage_factor;
use crate::regression::algebra::dot;
use crate::regression::design::Basis;
use crate::regression::estimate::RunScatter;

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
    pub run_to_run: f64,
    pub blocks: Vec<f64>,
    pub measurement: MeanVariances,
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
                let scaled = sample.scaled_doubled(combination);
                let error = sample.covariance(&scaled, &scaled).max(0.0).sqrt();
                (Some(error), sample.degrees_of_freedom(&scaled))
            }
        }
    }

    /// What scatters a new run at a value of the response, on the scale of the fit, of which the response has this slope.
    pub fn scatter(&self, response: f64, slope: f64) -> Option<RunScatter> {
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
                    run_to_run: scatter.run_to_run,
                    between_blocks: scatter.blocks.iter().sum(),
                    own_measurement: on_scale(scatter.measurement.own.at(response)),
                    shared_measurement: on_scale(scatter.measurement.shared.at(response)),
                })
            }
        }
    }

    /// The degrees of freedom of the variance of a new run whose expected value is that of a combination.
    pub fn degrees_of_new_run(&self, combination: &[f64], variance: f64) -> f64 {
        match self {
            Errors::Alike {
                degrees_of_freedom, ..
            } => *degrees_of_freedom,
            Errors::Measured(errors) => {
                let scaled = errors.sample.scaled(combination);
                errors.sample.degrees_of_new_run(&scaled, variance)
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
