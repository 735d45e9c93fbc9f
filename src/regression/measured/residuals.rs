//! What a fit that knows the measurement leaves over.
//!
//! In: a problem with what follows from its variances. Out: refined coefficients, fitted values, residuals, leverages.
//! This module never changes a variance.

use twofloat::TwoFloat;

use super::variances::{Evaluation, Problem};
use crate::regression::algebra::{dot_doubled, length, solve_transposed};
use crate::regression::design::Runs;
use crate::regression::plain::{Residuals, total_squares};

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
    let mut before = length(&found.scaled(&found.coefficients));
    let refinements = if runs.rough { 0 } else { REFINEMENTS };
    for _ in 0..refinements {
        let step = found.correction(problem, &left_over(runs, &coefficients));
        let moved = length(&found.scaled(&step));
        if !moved.is_finite() || moved > SHRINKS * before || moved == 0.0 {
            break;
        }
        for (&column, &value) in columns.iter().zip(&step) {
            coefficients[column] += value;
        }
        before = moved;
    }
    coefficients
}

fn left_over(runs: &Runs, coefficients: &[TwoFloat]) -> Vec<f64> {
    let mut left = Vec::with_capacity(runs.len());
    runs.each_doubled(|run, row| {
        left.push((runs.data.response[run] - dot_doubled(row, coefficients)).hi());
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
    found.factored.divide(&mut projected);
    let diagonal = found.projection_diagonal();
    let own_weights = hat_diagonal(problem, found);
    let responses = runs.data.response.iter().zip(&left);
    let mut all = Residuals {
        fitted: responses
            .map(|(response, residual)| response - residual)
            .collect(),
        total_squares: total_squares(runs),
        ..Residuals::default()
    };
    let zero = TwoFloat::from(0.0);
    let (mut squares, mut left_out) = (zero, Some(zero));
    for (run, &residual) in left.iter().enumerate() {
        let share = (diagonal[run] / found.inverse_diagonal[run]).clamp(0.0, 1.0);
        all.leverages.push(1.0 - share);
        squares += TwoFloat::new_mul(residual, residual);
        let error = residual + projected[run] / diagonal[run] * own_weights[run];
        all.left_out.push(error);
        // `P y` has the covariance `P`.
        let alone = share <= FITTED_BY_ITSELF;
        let studentised = if alone {
            0.0
        } else {
            projected[run] / diagonal[run].sqrt()
        };
        all.studentised.push(studentised);
        left_out = left_out
            .filter(|_| share > FITTED_BY_ITSELF)
            .map(|sum| sum + TwoFloat::new_mul(error, error));
    }
    all.residuals = left;
    all.residual_squares = squares.hi();
    all.left_out_squares = left_out.map(|sum| sum.hi());
    let sums = [all.residual_squares, all.left_out_squares.unwrap_or(0.0)];
    let finite = sums
        .iter()
        .chain(&all.leverages)
        .all(|number| number.is_finite());
    finite.then_some(all)
}

/// The weight of each run in its own fitted value: the diagonal of `X (XᵀV⁻¹X)⁻¹ XᵀV⁻¹`.
fn hat_diagonal(problem: &Problem, found: &Evaluation) -> Vec<f64> {
    let of_run = |run: usize| {
        let columns = 0..found.rank();
        let row: Vec<f64> = columns
            .map(|column| problem.columns.get(run, column))
            .collect();
        let scaled = solve_transposed(&found.upper, &row);
        let shares = scaled.iter().enumerate();
        shares
            .map(|(column, share)| share * found.weighted.get(run, column))
            .sum()
    };
    (0..problem.response.len()).map(of_run).collect()
}
