//! The triangle of a QR decomposition of many rows, and its column-pivoted form.
//!
//! In: rows, one at a time. Out: the triangle of their QR decomposition, and its column-pivoted form.
//! This module never keeps more than one block of rows, and never knows what a column means.
//!
//! # Source
//! Golub and Van Loan, Matrix Computations, 4th ed. 2013, 5.1 (Householder), 5.2.6 (adding rows), 5.4.2 (column pivoting).

use super::matrix::Matrix;
use super::vectors::{dot, length, subtract};

/// Rows taken in at once: small enough for the cache, large enough to make the triangle cheap.
const BLOCK_ROWS: usize = 256;

/// The upper triangle `R` of the QR decomposition of `rows` rows of `width` columns.
///
/// Each block of rows is reflected onto the triangle of the rows before it. With the response as the last column,
/// the last column holds `Qᵀy` and the size of its last entry is the root of the residual sum of squares.
pub(crate) fn triangle(
    rows: usize,
    width: usize,
    mut fill: impl FnMut(usize, &mut [f64]),
) -> Matrix {
    let mut upper = Matrix::zeros(width, width);
    let mut row = vec![0.0; width];
    let mut first = 0;
    while first < rows {
        let size = BLOCK_ROWS.min(rows - first);
        let mut block = Matrix::zeros(size, width);
        for position in 0..size {
            fill(first + position, &mut row);
            for (column, &value) in row.iter().enumerate() {
                block.set(position, column, value);
            }
        }
        take_in(&mut upper, &mut block, width);
        first += size;
    }
    upper
}

/// Reflects a block of rows onto the triangle; the block is used up.
fn take_in(upper: &mut Matrix, block: &mut Matrix, width: usize) {
    for column in 0..width {
        let below = dot(block.column(column), block.column(column));
        if below == 0.0 {
            continue;
        }
        let top = upper.get(column, column);
        let corner = -(top * top + below).sqrt().copysign(top);
        let head = top - corner;
        let factor = 2.0 / (head * head + below);
        for later in column + 1..width {
            let (vector, target) = block.column_and_later(column, later);
            let beside = upper.get(column, later);
            let amount = factor * (head * beside + dot(vector, target));
            upper.set(column, later, beside - amount * head);
            subtract(target, amount, vector);
        }
        upper.set(column, column, corner);
    }
}

/// A column-pivoted QR decomposition.
#[derive(Debug, Clone)]
pub(crate) struct Pivoted {
    /// Positions of the columns in the order in which they were taken; the first `rank` are independent.
    pub order: Vec<usize>,
    pub rank: usize,
    /// The triangle, its columns in that order.
    pub upper: Matrix,
    /// The further columns, reflected along.
    pub carried: Matrix,
}

/// Pivots among the first `among` columns and reflects the others along.
///
/// Columns among which is pivoted should have about unit norm: one whose rest is at most `tolerance` depends on those before it.
/// Of equal columns the first is taken.
pub(crate) fn pivoted(columns: &[Vec<f64>], among: usize, tolerance: f64) -> Pivoted {
    let rows = columns.first().map_or(0, Vec::len);
    let mut work = Matrix::of_columns(columns);
    let mut order: Vec<usize> = (0..among).collect();
    let mut rank = 0;
    while rank < among.min(rows) {
        let (pivot, size) = largest(&work, rank, among);
        if size <= tolerance {
            break;
        }
        work.swap_columns(rank, pivot);
        order.swap(rank, pivot);
        reflect(&mut work, rank, columns.len());
        rank += 1;
    }
    let carried = columns.len() - among;
    Pivoted {
        order,
        rank,
        carried: Matrix::of(rows, carried, |row, column| work.get(row, among + column)),
        upper: work,
    }
}

/// The column with the largest rest at or below row `from`, and the size of that rest.
fn largest(work: &Matrix, from: usize, among: usize) -> (usize, f64) {
    let mut best = (from, 0.0);
    for column in from..among {
        let rest = &work.column(column)[from..];
        let size = length(rest);
        // A later column must be clearly larger, so that rounding does not choose between equals.
        if size > best.1 * (1.0 + 1e-10) {
            best = (column, size);
        }
    }
    best
}

fn reflect(work: &mut Matrix, step: usize, width: usize) {
    let rest = &work.column(step)[step..];
    let top = rest[0];
    let below = dot(&rest[1..], &rest[1..]);
    if below == 0.0 {
        return;
    }
    let corner = -(top * top + below).sqrt().copysign(top);
    let mut vector = rest.to_vec();
    vector[0] = top - corner;
    let factor = 2.0 / dot(&vector, &vector);
    for later in step + 1..width {
        let target = &mut work.column_mut(later)[step..];
        let amount = factor * dot(&vector, target);
        subtract(target, amount, &vector);
    }
    let column = &mut work.column_mut(step)[step..];
    column.fill(0.0);
    column[0] = corner;
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a few hundred operations on numbers of size 1.
    const ROUNDING: f64 = 1e-13;

    fn entry(row: usize, column: usize) -> f64 {
        ((row * 7 + column * 13 + row * column) % 11) as f64 - 4.5
    }

    #[test]
    fn the_triangle_has_the_cross_products_of_the_rows_over_several_blocks() {
        let (rows, width) = (700, 4);
        let upper = triangle(rows, width, |row, values| {
            for (column, value) in values.iter_mut().enumerate() {
                *value = entry(row, column);
            }
        });
        for one in 0..width {
            for other in 0..width {
                let direct: f64 = (0..rows)
                    .map(|row| entry(row, one) * entry(row, other))
                    .sum();
                let found = dot(upper.column(one), upper.column(other));
                assert!(
                    (found - direct).abs() <= ROUNDING * direct.abs().max(1e4),
                    "{found} {direct}"
                );
            }
        }
    }

    #[test]
    fn a_sum_of_two_columns_adds_no_rank() {
        let (a, b) = (vec![1.0, 0.0, 0.5], vec![0.0, 1.0, 0.25]);
        let sum: Vec<f64> = a.iter().zip(&b).map(|(x, y)| x + y).collect();
        let found = pivoted(&[a, b, sum, vec![3.0, 1.0, 2.0]], 3, 1e-12);
        assert_eq!(found.rank, 2);
        // The further column keeps its norm: 9 + 1 + 4.
        let carried = found.carried.column(0);
        assert!((dot(carried, carried) - 14.0).abs() < ROUNDING);
    }
}
