//! What does a fit that knows the measurement leave over?
//!
//! In: a problem with what follows from its variances. Out: refined coefficients, fitted values, residuals, leverages.
//! This module never changes a variance.

use twofloat::TwoFloat;

use super::variances::{Evaluation, Problem};
use crate::regression::algebra::{Matrix, dot, solve_transposed};
use crate::regression::design::Runs;
use crate::regression::plain::{Residuals, combine, total_squares};

/// Refinement ends by itself after two or three steps; more would only stir rounding.
const REFINEMENTS: usize = 4;
/// A correction must be this much smaller than what went before it, or refinement no longer converges.
const SHRINKS: f64 = 0.1;
/// A run of whose weight so little is left is fitted by itself; rounding leaves a thousand times less.
const FITTED_BY_ITSELF: f64 = 1e-10;

/// The coefficients of all coded columns, corrected with residuals in doubled precision.
pub(crate) fn refined(
    runs: &Runs,
    problem: &Problem,
    found: &Evaluation,
    columns: &[usize],
) -> Vec<TwoFloat> {
    let mut coefficients = vec![TwoFloat::from(0.0); runs.columns()];
    for (&column, &value) in columns.iter().zip(&found.coefficients) {
        coefficients[column] = TwoFloat::from(value);
    }
    if let Some(constant) = runs.design.constant_column() {
        coefficients[constant] += runs.shift;
    }
    let size = found.scaled(&found.coefficients);
    let mut before = dot(&size, &size).sqrt();
    for _ in 0..REFINEMENTS {
        let step = found.correction(problem, &left_over(runs, &coefficients));
        let scaled = found.scaled(&step);
        let length = dot(&scaled, &scaled).sqrt();
        if !length.is_finite() || length > SHRINKS * before || length == 0.0 {
            break;
        }
        for (&column, &value) in columns.iter().zip(&step) {
            coefficients[column] += value;
        }
        before = length;
    }
    coefficients
}

fn left_over(runs: &Runs, coefficients: &[TwoFloat]) -> Vec<f64> {
    let mut left = Vec::with_capacity(runs.len());
    runs.each_doubled(|run, row| {
        left.push((runs.data.response[run] - combine(row, coefficients)).hi());
    });
    left
}

/// Fitted values, marginal residuals, leverages and errors of runs left out; None if a sum of squares is not finite.
///
/// The leverage of a run is the share of what it alone tells, given all others, that the terms take up:
/// `1 − P_ii / (V⁻¹)_ii`, between 0 and 1; without shared errors it is the usual one.
/// A run left out is expected at `x_i β` with `β` from all others and the same variances; its lot is not used to foretell it.
///
/// # Source
/// Martin, Leverage, influence and residuals in regression models when observations are correlated,
/// Communications in Statistics: Theory and Methods 21 (1992) 1183-1212.
pub(crate) fn residuals(
    runs: &Runs,
    problem: &Problem,
    found: &Evaluation,
    coefficients: &[TwoFloat],
) -> Option<Residuals> {
    let left = left_over(runs, coefficients);
    let mut projected = left.clone();
    found.factored.whiten(&mut projected);
    found.factored.whiten_transposed(&mut projected);
    let diagonal = found.projection_diagonal();
    let own_weights = hat_diagonal(problem, found);
    let zero = TwoFloat::from(0.0);
    let (mut squares, mut left_out) = (zero, Some(zero));
    let mut leverages = Vec::with_capacity(left.len());
    let mut errors = Vec::with_capacity(left.len());
    for (run, &residual) in left.iter().enumerate() {
        let share = (diagonal[run] / found.inverse_diagonal[run]).clamp(0.0, 1.0);
        leverages.push(1.0 - share);
        squares += TwoFloat::new_mul(residual, residual);
        let error = residual + projected[run] / diagonal[run] * own_weights[run];
        errors.push(error);
        left_out = left_out
            .filter(|_| share > FITTED_BY_ITSELF)
            .map(|sum| sum + TwoFloat::new_mul(error, error));
    }
    let fitted = runs.data.response.iter().zip(&left);
    let constant = runs.design.constant_column().is_some();
    let found = Residuals {
        fitted: fitted
            .map(|(response, residual)| response - residual)
            .collect(),
        leverages,
        residual_squares: squares.hi(),
        total_squares: total_squares(&runs.data.response, constant),
        left_out: errors,
        left_out_squares: left_out.map(|sum| sum.hi()),
        perfect: false,
        residuals: left,
    };
    let finite = found.residual_squares.is_finite()
        && found.left_out_squares.unwrap_or(0.0).is_finite()
        && found.leverages.iter().all(|leverage| leverage.is_finite());
    finite.then_some(found)
}

/// The weight of each run in its own fitted value: the diagonal of `X (XᵀV⁻¹X)⁻¹ XᵀV⁻¹`.
fn hat_diagonal(problem: &Problem, found: &Evaluation) -> Vec<f64> {
    let rank = found.rank();
    let mut row = vec![0.0; rank];
    (0..problem.response.len())
        .map(|run| {
            for (column, value) in row.iter_mut().enumerate() {
                *value = problem.columns.get(run, column);
            }
            let scaled = solve_transposed(&found.upper, &row);
            weighted_row(&found.weighted, run, &scaled)
        })
        .collect()
}

fn weighted_row(weighted: &Matrix, run: usize, scaled: &[f64]) -> f64 {
    let parts = scaled.iter().enumerate();
    parts
        .map(|(column, share)| share * weighted.get(run, column))
        .sum()
}
