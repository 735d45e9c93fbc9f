//! Small dense matrices, kept by column, and triangular systems.
//!
//! In: numbers by column. Out: [`Matrix`], and solutions of triangular systems.
//! This module never holds the rows of all runs, and never decides a rank.

use twofloat::TwoFloat;

use super::vectors::{add, dot};

/// A dense matrix, kept column by column.
#[derive(Debug, Clone)]
pub(crate) struct Matrix {
    rows: usize,
    values: Vec<f64>,
}

impl Matrix {
    /// A matrix of zeros.
    pub fn zeros(rows: usize, columns: usize) -> Self {
        Self {
            rows,
            values: vec![0.0; rows * columns],
        }
    }

    /// The matrix whose entries a function of row and column gives.
    pub fn of(rows: usize, columns: usize, entry: impl Fn(usize, usize) -> f64) -> Self {
        let mut values = Vec::with_capacity(rows * columns);
        for column in 0..columns {
            values.extend((0..rows).map(|row| entry(row, column)));
        }
        Self { rows, values }
    }

    /// The matrix of these columns, all of one length.
    pub fn of_columns(columns: &[Vec<f64>]) -> Self {
        Self {
            rows: columns.first().map_or(0, Vec::len),
            values: columns.concat(),
        }
    }

    /// The symmetric matrix of what a function gives for each two of some things.
    pub fn of_pairs<T>(of: &[T], entry: impl Fn(&T, &T) -> f64) -> Self {
        let mut pairs = Self::zeros(of.len(), of.len());
        for (column, one) in of.iter().enumerate() {
            for (row, other) in of[..=column].iter().enumerate() {
                let entry = entry(other, one);
                pairs.set(row, column, entry);
                pairs.set(column, row, entry);
            }
        }
        pairs
    }

    /// The entry in a row and a column, both counted from zero.
    pub fn get(&self, row: usize, column: usize) -> f64 {
        self.values[column * self.rows + row]
    }

    /// Replaces one entry.
    pub fn set(&mut self, row: usize, column: usize, value: f64) {
        self.values[column * self.rows + row] = value;
    }

    /// One column, from the first row to the last.
    pub fn column(&self, column: usize) -> &[f64] {
        &self.values[column * self.rows..(column + 1) * self.rows]
    }

    /// One column to change.
    pub fn column_mut(&mut self, column: usize) -> &mut [f64] {
        let rows = self.rows;
        &mut self.values[column * rows..(column + 1) * rows]
    }

    /// One column to read and a later one to change.
    pub fn column_and_later(&mut self, column: usize, later: usize) -> (&[f64], &mut [f64]) {
        let (before, after) = self.values.split_at_mut(later * self.rows);
        let start = column * self.rows;
        (&before[start..start + self.rows], &mut after[..self.rows])
    }

    /// The sum of the first columns, each times its share, over the first `rows` rows.
    pub fn combined(&self, shares: &[f64], rows: usize) -> Vec<f64> {
        let mut sum = vec![0.0; rows];
        for (column, &share) in shares.iter().enumerate() {
            add(&mut sum, share, self.column(column));
        }
        sum
    }

    /// Exchanges two columns.
    pub fn swap_columns(&mut self, one: usize, other: usize) {
        for row in 0..self.rows {
            self.values
                .swap(one * self.rows + row, other * self.rows + row);
        }
    }
}

/// Solves `R x = b` for the leading upper triangle `R` of the size of `b`.
///
/// # Assumes
/// No zero on the diagonal.
/// # Source
/// Golub and Van Loan, Matrix Computations, 4th ed. 2013, 3.1 (back substitution, by columns).
pub(crate) fn solve_upper(upper: &Matrix, right: &[f64]) -> Vec<f64> {
    let mut solution = right.to_vec();
    for column in (0..right.len()).rev() {
        solution[column] /= upper.get(column, column);
        let found = solution[column];
        for (value, entry) in solution.iter_mut().zip(&upper.column(column)[..column]) {
            *value -= entry * found;
        }
    }
    solution
}

/// Solves `Rᵀ x = b` for the leading upper triangle `R` of the size of `b`.
///
/// # Assumes
/// No zero on the diagonal.
/// # Source
/// Golub and Van Loan, Matrix Computations, 4th ed. 2013, 3.1 (forward substitution).
pub(crate) fn solve_transposed(upper: &Matrix, right: &[f64]) -> Vec<f64> {
    let mut solution = right.to_vec();
    for row in 0..right.len() {
        let column = upper.column(row);
        let known = dot(&column[..row], &solution[..row]);
        solution[row] = (solution[row] - known) / column[row];
    }
    solution
}

/// Solves `Rᵀ x = b` with a right-hand side and a solution in doubled precision.
pub(crate) fn solve_transposed_doubled(upper: &Matrix, right: &[TwoFloat]) -> Vec<TwoFloat> {
    let mut solution = right.to_vec();
    for row in 0..right.len() {
        let column = upper.column(row);
        let mut rest = solution[row];
        for k in 0..row {
            rest -= solution[k] * column[k];
        }
        solution[row] = rest / column[row];
    }
    solution
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_triangular_system_and_its_transpose_are_solved() {
        // R = [2 1; 0 4]; worked by hand.
        let mut upper = Matrix::zeros(2, 2);
        upper.set(0, 0, 2.0);
        upper.set(0, 1, 1.0);
        upper.set(1, 1, 4.0);
        assert_eq!(solve_upper(&upper, &[5.0, 8.0]), [1.5, 2.0]);
        assert_eq!(solve_transposed(&upper, &[2.0, 9.0]), [1.0, 2.0]);
        let doubled = solve_transposed_doubled(&upper, &[2.0.into(), 9.0.into()]);
        assert_eq!(doubled, [TwoFloat::from(1.0), TwoFloat::from(2.0)]);
    }
}
