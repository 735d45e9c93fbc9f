//! Estimates of any combination of the coefficients.
//!
//! In: the coded coefficients with their basis, and the scatter. Out: [`Estimate`]s of combinations, on the scale of the fit.
//! This module never knows which settings a combination stands for.

use std::sync::Arc;

use twofloat::TwoFloat;

use crate::distributions::t_two_sided;
use crate::regression::algebra::dot_doubled;
use crate::regression::asked::{Design, FitData, ResponseScale};
use crate::regression::design::{Basis, Coding};
use crate::regression::estimable::{Refusal, Relation, Separation, Tangle};
use crate::regression::estimate::{Estimate, Interval, NewRun, RunScatter};
use crate::regression::measured::Errors;

/// A part of the constant that is rounding of weights about 1 that add up to nothing.
const NO_PART: f64 = 1e-9;

/// All that is needed to answer questions after the fit.
#[derive(Debug, Clone)]
pub(crate) struct Machinery {
    pub design: Design,
    pub coding: Coding,
    /// Shared by copies: there may be many, of many runs.
    pub data: Arc<FitData>,
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

impl Machinery {
    /// The estimate of a combination of coded coefficients.
    ///
    /// `cᵀβ` with the variance `σ² cᵀ(XᵀX)⁻¹c` in a plain fit, `cᵀ Φ c` in a measured one, `Φ` the widened covariance.
    ///
    /// # Errors
    /// [`Refusal::NotSeparable`] when the runs cannot tell it apart from something else.
    pub fn estimate(&self, combination: &[f64]) -> Result<Estimate, Refusal> {
        let in_the_way = self.separation.in_the_way(&self.basis, combination);
        if !in_the_way.is_empty() {
            return Err(self.not_separable(&in_the_way));
        }
        if let Some((variance, degrees)) = self.of_mean(combination) {
            let value = self.value(combination)?;
            return Ok(self.with_error(value, Some(variance.sqrt()), degrees()));
        }
        let doubled: Vec<TwoFloat> = combination.iter().map(|&part| part.into()).collect();
        self.finished(&doubled).ok_or(Refusal::TooLarge)
    }

    /// The variance of a combination; None without residual degrees of freedom.
    pub fn variance(&self, combination: &[f64]) -> Option<f64> {
        match self.of_mean(combination) {
            Some((variance, _)) => Some(variance),
            None => self.covariance(combination, combination),
        }
    }

    /// Variance and degrees of freedom of a measured mean, which holds the errors of levels of blocks and is no contrast.
    fn of_mean(&self, combination: &[f64]) -> Option<(f64, impl FnOnce() -> f64)> {
        let constant = self.design.constant_column();
        let is_mean = constant.is_none_or(|at| combination[at].abs() > NO_PART);
        let found = is_mean.then(|| self.errors.of_mean(combination)).flatten();
        found.filter(|(variance, _)| variance.is_finite())
    }

    /// The covariance of two combinations; None without residual degrees of freedom.
    pub fn covariance(&self, one: &[f64], other: &[f64]) -> Option<f64> {
        self.errors.covariance(&self.basis, one, other)
    }

    /// The estimate of a combination that is known to be estimable; None when it is no finite number.
    pub fn finished(&self, combination: &[TwoFloat]) -> Option<Estimate> {
        let value = dot_doubled(combination, &self.coefficients).hi();
        let (standard_error, degrees_of_freedom) =
            self.errors.of_combination(&self.basis, combination);
        if !value.is_finite() || standard_error.is_some_and(|error| !error.is_finite()) {
            return None;
        }
        Some(self.with_error(value, standard_error, degrees_of_freedom))
    }

    /// The estimate of this value, standard error and degrees of freedom.
    fn with_error(&self, value: f64, error: Option<f64>, degrees_of_freedom: f64) -> Estimate {
        let t = self.ratio(value, error);
        Estimate {
            value,
            standard_error: error,
            degrees_of_freedom,
            interval: self.interval(value, error, degrees_of_freedom),
            p: t.and_then(|t| t_two_sided(t, degrees_of_freedom)),
        }
    }

    /// Where one new run falls whose expected value is that of a combination, already estimated; each variance from run to
    /// run counts by its share.
    ///
    /// # Source
    /// Searle, Linear Models, 1971, 3.4 (variance of a future observation).
    pub fn new_run(&self, combination: &[f64], mean: &Estimate, shares: &[f64]) -> NewRun {
        let scatter = self.scatter(mean.value, shares);
        let both = mean.standard_error.zip(scatter);
        let variance = both.map(|(error, scatter)| scatter.total() + error * error);
        let degrees_of_freedom = variance.map_or(mean.degrees_of_freedom, |variance| {
            self.errors
                .degrees_of_new_run(combination, variance, shares)
        });
        let standard_deviation = variance.map(f64::sqrt).filter(|sd| sd.is_finite());
        NewRun {
            value: mean.value,
            standard_deviation,
            scatter: scatter.filter(|scatter| scatter.total().is_finite()),
            degrees_of_freedom,
            interval: self.interval(mean.value, standard_deviation, degrees_of_freedom),
        }
    }

    /// The coded row of one run.
    pub fn row(&self, run: usize) -> Vec<f64> {
        let mut row = vec![0.0; self.design.columns.len()];
        self.coding.row(&self.design, &self.data, run, &mut row);
        row
    }

    /// What scatters a new run where the fit has this value, on its scale; None without residual degrees of freedom.
    pub fn scatter(&self, value: f64, shares: &[f64]) -> Option<RunScatter> {
        self.errors
            .scatter(self.scale.response(value), self.scale.slope(value), shares)
    }

    /// Value by standard error; None if the fit is perfect, so that the standard error is rounding.
    pub fn ratio(&self, value: f64, standard_error: Option<f64>) -> Option<f64> {
        let error = standard_error.filter(|&error| error > 0.0 && !self.perfect)?;
        Some(value / error).filter(|ratio| ratio.is_finite())
    }

    /// The interval about a value at the confidence of the model.
    pub fn interval(
        &self,
        value: f64,
        standard_error: Option<f64>,
        degrees_of_freedom: f64,
    ) -> Option<Interval> {
        let half = self.errors.reach(self.confidence, degrees_of_freedom)? * standard_error?;
        let (low, high) = (value - half, value + half);
        (low.is_finite() && high.is_finite()).then_some(Interval { low, high })
    }

    /// The reason why a combination along these relations is refused.
    fn not_separable(&self, relations: &[&Relation]) -> Refusal {
        let reason = |relation: &&Relation| Tangle::new(relation, &self.design, &self.data).why();
        Refusal::NotSeparable(relations.iter().map(reason).collect())
    }
}
