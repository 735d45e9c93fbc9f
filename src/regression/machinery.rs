//! What can be worked out for any combination of the coefficients?
//!
//! In: the coded coefficients with their basis, and the scatter. Out: [`Estimate`]s of combinations.
//! This module never knows which settings a combination stands for.

use twofloat::TwoFloat;

use super::basis::Basis;
use super::coding::Coding;
use super::data::FitData;
use super::fitted::{Estimate, Interval};
use super::least_squares::combine;
use super::qr::dot;
use super::refusal::Refusal;
use super::separation::{Relation, Separation};
use super::tangled::Tangle;
use super::term::Design;
use crate::distributions::t_two_sided;

/// All that is needed to answer questions after the fit.
#[derive(Debug, Clone)]
pub(crate) struct Machinery {
    pub design: Design,
    pub coding: Coding,
    pub data: FitData,
    pub basis: Basis,
    pub coefficients: Vec<TwoFloat>,
    pub separation: Separation,
    /// Residual mean square; None without residual degrees of freedom.
    pub mean_square: Option<f64>,
    pub degrees_of_freedom: f64,
    /// How many standard errors an interval reaches to either side.
    pub reach: Option<f64>,
    pub perfect: bool,
    /// Mean of each amount over the runs; zero for a choice.
    pub means: Vec<f64>,
    /// Weight of each level of each choice at the reference mix; empty for an amount.
    pub weights: Vec<Vec<f64>>,
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
        let shared = dot(&self.basis.whitened(one), &self.basis.whitened(other));
        self.mean_square.map(|mean_square| mean_square * shared)
    }

    /// The estimate of a combination that is known to be estimable; None when it is no finite number.
    pub fn finished(&self, combination: &[TwoFloat]) -> Option<Estimate> {
        let value = combine(combination, &self.coefficients).hi();
        let variance = self.basis.variance(combination);
        let standard_error = self
            .mean_square
            .map(|mean_square| (mean_square * variance).sqrt());
        if !value.is_finite() || standard_error.is_some_and(|error| !error.is_finite()) {
            return None;
        }
        let t = self.ratio(value, standard_error);
        Some(Estimate {
            value,
            standard_error,
            degrees_of_freedom: self.degrees_of_freedom,
            interval: self.interval(value, standard_error),
            p: t.and_then(|t| t_two_sided(t, self.degrees_of_freedom)),
        })
    }

    /// Value by standard error; None if the fit is perfect, so that the standard error is rounding.
    pub fn ratio(&self, value: f64, standard_error: Option<f64>) -> Option<f64> {
        let ratio = standard_error
            .filter(|&error| error > 0.0)
            .map(|error| value / error);
        ratio.filter(|ratio| ratio.is_finite() && !self.perfect)
    }

    /// The interval about a value at the confidence of the model.
    pub fn interval(&self, value: f64, standard_error: Option<f64>) -> Option<Interval> {
        let half = self.reach? * standard_error?;
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
