//! Standard errors of sums of means if the errors of the measurement were others.
//!
//! In: a measured fit and other errors of the same runs. Out: [`OtherErrors`], and standard errors with them.
//! This module never fits anew: variances and fitted values stay, the weights of the runs follow.

use super::answers_at_several_settings::Weighted;
use super::fitted::FittedModel;
use crate::regression::algebra::{Matrix, dot, solve_transposed};
use crate::regression::asked::{Factor, Measurement};
use crate::regression::estimable::Refusal;
use crate::regression::measured::variances::Problem;
use crate::regression::measured::{Errors, ScatterOf, Shape};

/// A variance of zero counts as this share of the largest, so that every run keeps a weight.
const NONE: f64 = 1e-10;

/// What a fit would know with other errors of the measurement.
#[derive(Debug, Clone)]
pub struct OtherErrors {
    /// Positions of the independent columns.
    columns: Vec<usize>,
    /// `R` of the whitened columns.
    upper: Matrix,
}

impl FittedModel {
    /// The covariance of the coefficients with other errors of the measurement, at the variances and fitted values of this fit.
    ///
    /// None for a fit that does not know the measurement, and where the errors give no covariance.
    ///
    /// # Units and shapes
    /// One run for each of [`FittedModel::runs`], in their order.
    /// # Source
    /// `(XᵀV⁻¹X)⁻¹`: Searle, Linear Models, 1971, 3.6. Checked against dense matrices in `tests/it/assays.rs`.
    pub fn with_other_errors(&self, measurement: &Measurement) -> Option<OtherErrors> {
        let machinery = &self.machinery;
        let Errors::Measured(errors) = &machinery.errors else {
            return None;
        };
        let factors = &machinery.data.factors;
        let blocks = self.variance_components.iter();
        let blocks = blocks.filter_map(|component| match &component.of {
            ScatterOf::Block(name) => factors.iter().find(|factor| factor.name == *name),
            _ => None,
        });
        let blocks: Vec<&Factor> = blocks.collect();
        let (runs, scatter) = (self.runs.len(), &errors.scatter);
        let shape = Shape::new(measurement, runs, &blocks, self.scale)
            .with_groups(scatter.of_runs.clone(), scatter.run_to_run.len());
        let fitted: Vec<f64> = self.fitted.iter().map(|&y| self.scale.fitted(y)).collect();
        let at = shape.at(&fitted);
        let known = shape.known_variances(&at).into_iter();
        let estimated = scatter.run_to_run.iter().chain(&scatter.blocks).copied();
        let least = NONE * known.chain(estimated.clone()).fold(0.0, f64::max);
        let variances: Vec<f64> = estimated.map(|variance| variance.max(least)).collect();
        let columns = machinery.basis.independent.clone();
        let mut entries = Matrix::zeros(runs, columns.len());
        for run in 0..runs {
            let row = machinery.row(run);
            for (position, &column) in columns.iter().enumerate() {
                entries.set(run, position, row[column]);
            }
        }
        let problem = Problem {
            rank: columns.len(),
            columns: entries,
            response: machinery.data.response.clone(),
            shape: &shape,
        };
        let upper = problem.evaluate(&at, &variances)?.upper;
        Some(OtherErrors { columns, upper })
    }

    /// The standard error of a weighted sum of mean responses with other errors, their variances taken to be known.
    ///
    /// # Errors
    /// As for [`Self::weighted_sum`].
    pub fn error_of_sum(&self, parts: &[Weighted], other: &OtherErrors) -> Result<f64, Refusal> {
        let (_, total) = self.combined(parts)?;
        let own: Vec<f64> = other.columns.iter().map(|&column| total[column]).collect();
        let scaled = solve_transposed(&other.upper, &own);
        Ok(dot(&scaled, &scaled).sqrt())
    }
}
