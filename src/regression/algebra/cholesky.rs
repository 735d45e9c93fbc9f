//! The Cholesky factor of a small symmetric matrix, its solutions and its inverse.
//!
//! In: a small symmetric positive definite matrix. Out: solutions, and the inverse.
//! This module never sees runs or terms.

use super::matrix::{Matrix, solve_transposed, solve_upper};
use super::vectors::{dot, unit};

/// The upper Cholesky factor `R` of the leading square `A = RᵀR` of this size; None if that is not positive definite.
///
/// # Source
/// Golub and Van Loan, Matrix Computations, 4th ed. 2013, 4.2 (Cholesky).
pub(crate) fn root(matrix: &Matrix, size: usize) -> Option<Matrix> {
    let mut upper = Matrix::zeros(size, size);
    for column in 0..size {
        for row in 0..=column {
            let known = dot(&upper.column(row)[..row], &upper.column(column)[..row]);
            let rest = matrix.get(row, column) - known;
            if row < column {
                upper.set(row, column, rest / upper.get(row, row));
            } else if rest > 0.0 && rest.is_finite() {
                upper.set(row, row, rest.sqrt());
            } else {
                return None;
            }
        }
    }
    Some(upper)
}

/// The solution of `A x = b`; None if `A` is not positive definite.
pub(crate) fn solve(matrix: &Matrix, right: &[f64]) -> Option<Vec<f64>> {
    let upper = root(matrix, right.len())?;
    Some(solve_upper(&upper, &solve_transposed(&upper, right)))
}

/// The inverse of the leading square of this size; None if that is not positive definite.
pub(crate) fn inverse(matrix: &Matrix, size: usize) -> Option<Matrix> {
    let upper = root(matrix, size)?;
    let solved =
        |column: usize| solve_upper(&upper, &solve_transposed(&upper, &unit(size, column)));
    Some(Matrix::of_columns(
        &(0..size).map(solved).collect::<Vec<_>>(),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_system_is_solved_and_an_indefinite_one_refused() {
        // [4 2; 2 3] x = [8, 8] has x = [1, 2]; worked by hand.
        let mut matrix = Matrix::zeros(2, 2);
        matrix.column_mut(0).copy_from_slice(&[4.0, 2.0]);
        matrix.column_mut(1).copy_from_slice(&[2.0, 3.0]);
        let found = solve(&matrix, &[8.0, 8.0]).unwrap();
        assert!((found[0] - 1.0).abs() < 1e-15 && (found[1] - 2.0).abs() < 1e-15);
        // The inverse is [3 -2; -2 4] / 8.
        let inverse = inverse(&matrix, 2).unwrap();
        assert!((inverse.get(0, 1) + 0.25).abs() < 1e-15);
        matrix.set(0, 0, 1.0);
        assert!(solve(&matrix, &[1.0, 1.0]).is_none());
    }
}
