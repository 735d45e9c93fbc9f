//! What can be worked out for any combination of the coefficients?
//!
//! In: the coded coefficients with their basis, and the scatter. Out: [`Estimate`]s of combinations, on the scale of the fit.
//! This module never knows which settings a combination stands for.

use twofloat::TwoFloat;

use crate::distributions::{coverage_factor, t_two_sided};
use crate::regression::algebra::dot;
use crate::regression::asked::{Design, FitData, ResponseScale};
use crate::regression::design::{Basis, Coding};
use crate::regression::estimable::{Refusal, Relation, Separation, Tangle};
use crate::regression::estimate::{Estimate, Interval, NewRun, RunScatter};
use crate::regression::measured::{NewRunVariances, SmallSample};
use crate::regression::plain::combine;

/// All that is needed to answer questions after the fit.
#[derive(Debug, Clone)]
pub(crate) struct Machinery {
    pub design: Design,
    pub coding: Coding,
    pub data: FitData,
    pub basis: Basis,
    pub coefficients: Vec<TwoFloat>,
    pub separation: Separation,
    pub errors: Errors,
    /// The scale that all of this is about.
    pub scale: ResponseScale,
    /// Confidence of all intervals.
    pub confidence: f64,
    pub perfect: bool,
    /// Mean of each amount over the runs; zero for a choice.
    pub means: Vec<f64>,
    /// Weight of each level of each choice at the reference mix; empty for an amount.
    pub weights: Vec<Vec<f64>>,
}

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

/// The error of one combination.
#[derive(Debug, Clone, Copy)]
struct ErrorOf {
    standard_error: Option<f64>,
    degrees_of_freedom: f64,
}

impl Machinery {
    /// The estimate of a combination of coded coefficients.
    ///
    /// # Errors
    /// [`Refusal::NotSeparable`] when the runs cannot tell it apart from something else.
    pub fn estimate(&self, combination: &[f64]) -> Result<Estimate, Refusal> {
        let in_the_way = self.separation.in_the_way(&self.basis, combination);
        if !in_the_way.is_empty() {
            return Err(self.not_separable(&in_the_way));
        }
        let doubled: Vec<TwoFloat> = combination.iter().map(|&part| part.into()).collect();
        self.finished(&doubled).ok_or(Refusal::TooLarge)
    }

    /// The covariance of two combinations; None without residual degrees of freedom.
    pub fn covariance(&self, one: &[f64], other: &[f64]) -> Option<f64> {
        match &self.errors {
            Errors::Alike { mean_square, .. } => {
                let shared = dot(&self.basis.whitened(one), &self.basis.whitened(other));
                mean_square.map(|mean_square| mean_square * shared)
            }
            Errors::Measured(errors) => {
                let sample = &errors.sample;
                Some(sample.covariance(&sample.scaled(one), &sample.scaled(other)))
            }
        }
    }

    /// The estimate of a combination that is known to be estimable; None when it is no finite number.
    pub fn finished(&self, combination: &[TwoFloat]) -> Option<Estimate> {
        let value = combine(combination, &self.coefficients).hi();
        let ErrorOf {
            standard_error,
            degrees_of_freedom,
        } = self.error_of(combination);
        if !value.is_finite() || standard_error.is_some_and(|error| !error.is_finite()) {
            return None;
        }
        let t = self.ratio(value, standard_error);
        Some(Estimate {
            value,
            standard_error,
            degrees_of_freedom,
            interval: self.interval(value, standard_error, degrees_of_freedom),
            p: t.and_then(|t| t_two_sided(t, degrees_of_freedom)),
        })
    }

    fn error_of(&self, combination: &[TwoFloat]) -> ErrorOf {
        match &self.errors {
            Errors::Alike {
                mean_square,
                degrees_of_freedom,
                ..
            } => {
                let variance = self.basis.variance(combination);
                ErrorOf {
                    standard_error: mean_square.map(|mean_square| (mean_square * variance).sqrt()),
                    degrees_of_freedom: *degrees_of_freedom,
                }
            }
            Errors::Measured(errors) => {
                let scaled = errors.sample.scaled_doubled(combination);
                ErrorOf {
                    standard_error: Some(
                        errors.sample.covariance(&scaled, &scaled).max(0.0).sqrt(),
                    ),
                    degrees_of_freedom: errors.sample.degrees_of_freedom(&scaled),
                }
            }
        }
    }

    /// Where one new run falls whose expected value is that of a combination, already estimated.
    pub fn new_run(&self, combination: &[f64], mean: &Estimate) -> NewRun {
        let response = self.scale.response(mean.value);
        let slope = self.scale.slope(mean.value);
        let measured = |variance: f64| variance / (slope * slope);
        let scatter = match &self.errors {
            Errors::Alike { mean_square, .. } => mean_square.map(|mean_square| RunScatter {
                run_to_run: mean_square,
                between_blocks: 0.0,
                own_measurement: 0.0,
                shared_measurement: 0.0,
            }),
            Errors::Measured(errors) => Some(RunScatter {
                run_to_run: errors.scatter.run_to_run,
                between_blocks: errors.scatter.blocks.iter().sum(),
                own_measurement: measured(errors.scatter.measurement.own.at(response)),
                shared_measurement: measured(errors.scatter.measurement.shared.at(response)),
            }),
        };
        let variance = mean
            .standard_error
            .zip(scatter)
            .map(|(error, scatter)| scatter.total() + error * error);
        let degrees_of_freedom = match (&self.errors, variance) {
            (Errors::Measured(errors), Some(variance)) => {
                let scaled = errors.sample.scaled(combination);
                errors.sample.degrees_of_new_run(&scaled, variance)
            }
            _ => mean.degrees_of_freedom,
        };
        let standard_deviation = variance.map(f64::sqrt).filter(|sd| sd.is_finite());
        NewRun {
            value: mean.value,
            standard_deviation,
            scatter: scatter.filter(|scatter| scatter.total().is_finite()),
            degrees_of_freedom,
            interval: self.interval(mean.value, standard_deviation, degrees_of_freedom),
        }
    }

    /// Value by standard error; None if the fit is perfect, so that the standard error is rounding.
    pub fn ratio(&self, value: f64, standard_error: Option<f64>) -> Option<f64> {
        let ratio = standard_error
            .filter(|&error| error > 0.0)
            .map(|error| value / error);
        ratio.filter(|ratio| ratio.is_finite() && !self.perfect)
    }

    /// The interval about a value at the confidence of the model.
    pub fn interval(
        &self,
        value: f64,
        standard_error: Option<f64>,
        degrees_of_freedom: f64,
    ) -> Option<Interval> {
        let reach = match &self.errors {
            Errors::Alike { reach, .. } => *reach,
            Errors::Measured(_) => coverage_factor(self.confidence, degrees_of_freedom),
        };
        let half = reach? * standard_error?;
        let interval = Interval {
            low: value - half,
            high: value + half,
        };
        (interval.low.is_finite() && interval.high.is_finite()).then_some(interval)
    }

    /// The reason why a combination along these relations is refused.
    fn not_separable(&self, relations: &[&Relation]) -> Refusal {
        let reason = |relation: &&Relation| Tangle::new(relation, &self.design, &self.data).why();
        Refusal::NotSeparable(relations.iter().map(reason).collect())
    }
}
