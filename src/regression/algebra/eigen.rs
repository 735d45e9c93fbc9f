//! Eigenvectors and eigenvalues of a small symmetric matrix.
//!
//! In: a small symmetric matrix, row by row. Out: its [`Direction`]s.
//! This module never meets a matrix larger than the amounts of a model.

/// Most sweeps over all pairs; convergence is quadratic, and six are usual.
const MOST_SWEEPS: usize = 60;

/// An eigenvector of length 1 with its eigenvalue.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Direction {
    pub value: f64,
    pub along: Vec<f64>,
}

/// The directions of a symmetric matrix, the smallest eigenvalue first.
///
/// # Source
/// Golub and Van Loan, Matrix Computations, 4th ed. 2013, 8.5 (cyclic Jacobi).
pub(crate) fn directions(matrix: &[Vec<f64>]) -> Vec<Direction> {
    let size = matrix.len();
    let mut a: Vec<Vec<f64>> = matrix.to_vec();
    let mut v = vec![vec![0.0; size]; size];
    for (place, row) in v.iter_mut().enumerate() {
        row[place] = 1.0;
    }
    for _ in 0..MOST_SWEEPS {
        let mut turned = false;
        for p in 0..size {
            for q in p + 1..size {
                turned |= turn(&mut a, &mut v, p, q);
            }
        }
        if !turned {
            break;
        }
    }
    let direction = |column: usize| Direction {
        value: a[column][column],
        along: v.iter().map(|row| row[column]).collect(),
    };
    let mut found: Vec<Direction> = (0..size).map(direction).collect();
    found.sort_by(|one, other| one.value.total_cmp(&other.value));
    found
}

/// Turns the plane of `p` and `q` so that their entry vanishes; says whether there was anything left to turn.
fn turn(a: &mut [Vec<f64>], v: &mut [Vec<f64>], p: usize, q: usize) -> bool {
    let off = a[p][q];
    // An entry that vanishes beside the diagonal is rounding.
    if off == 0.0 || off.abs() <= f64::EPSILON * (a[p][p] * a[q][q]).abs().sqrt() {
        return false;
    }
    let tau = (a[q][q] - a[p][p]) / (2.0 * off);
    let t = tau.signum() / (tau.abs() + tau.hypot(1.0));
    let c = 1.0 / t.hypot(1.0);
    let s = t * c;
    let turned = |x: f64, y: f64| (c * x - s * y, s * x + c * y);
    for row in a.iter_mut() {
        (row[p], row[q]) = turned(row[p], row[q]);
    }
    let (before, from_q) = a.split_at_mut(q);
    for (one, other) in before[p].iter_mut().zip(&mut from_q[0]) {
        (*one, *other) = turned(*one, *other);
    }
    a[p][q] = 0.0;
    a[q][p] = 0.0;
    for row in v.iter_mut() {
        (row[p], row[q]) = turned(row[p], row[q]);
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A few roundings of entries about 1.
    const ROUNDING: f64 = 1e-13;

    #[test]
    fn a_matrix_worked_by_hand_has_its_eigenvalues() {
        // [[2, 1], [1, 2]]: 1 along (1, −1), 3 along (1, 1).
        let found = directions(&[vec![2.0, 1.0], vec![1.0, 2.0]]);
        assert!((found[0].value - 1.0).abs() < ROUNDING);
        assert!((found[1].value - 3.0).abs() < ROUNDING);
        assert!((found[0].along[0] + found[0].along[1]).abs() < ROUNDING);
    }

    #[test]
    fn every_direction_is_only_stretched() {
        let matrix = [
            vec![4.0, -1.0, 0.5],
            vec![-1.0, -2.0, 3.0],
            vec![0.5, 3.0, 1.0],
        ];
        for direction in directions(&matrix) {
            for (row, part) in matrix.iter().zip(&direction.along) {
                let image: f64 = row.iter().zip(&direction.along).map(|(a, d)| a * d).sum();
                assert!((image - direction.value * part).abs() < 10.0 * ROUNDING);
            }
        }
    }

    #[test]
    fn a_matrix_of_zeros_stretches_nothing() {
        let found = directions(&[vec![0.0, 0.0], vec![0.0, 0.0]]);
        assert!(found.iter().all(|direction| direction.value == 0.0));
    }
}
