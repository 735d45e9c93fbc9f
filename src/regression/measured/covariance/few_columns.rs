//! Errors that act on the same runs, told by as few columns as say the same.
//!
//! In: for each error the size of its effect on each run of a common list. Out: fewer such lists with the same covariance.
//! This module never drops more than rounding.
//!
//! The errors of a hundred standardisations of one titrant reach each run through the strength alone: a hundred columns of
//! one shape. With `A` one row a run and one column an error, and `B = A Q` with orthonormal columns of `Q` that span
//! the rows of `A`, `B Bᵀ = A Aᵀ`; `B` has as many columns as `A` has rank.

use crate::regression::algebra::{dot, length, subtract};

/// Of a row no more is left than this share of its length: rounding, propagation leaves about 1e-16.
const ROUNDING: f64 = 1e-12;

/// Columns with the covariance of the ones given, all of one length; an entry that is no more than rounding is zero.
pub(super) fn few_columns(columns: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let count = columns.first().map_or(0, Vec::len);
    let row = |at: usize| columns.iter().map(|column| column[at]).collect();
    let mut rows: Vec<Vec<f64>> = (0..count).map(row).collect();
    let lengths: Vec<f64> = rows.iter().map(|row| length(row)).collect();
    let left = |rows: &[Vec<f64>], at: usize| {
        let whole = lengths[at];
        if whole > 0.0 {
            length(&rows[at]) / whole
        } else {
            0.0
        }
    };
    let mut shares: Vec<f64> = (0..count).map(|at| left(&rows, at)).collect();
    let mut found = Vec::new();
    while found.len() < columns.len() {
        // Of equal ones the last: what only the first run has besides is left for it alone.
        let largest = (0..count).max_by(|&one, &other| shares[one].total_cmp(&shares[other]));
        let Some(largest) = largest.filter(|&at| shares[at] > ROUNDING) else {
            break;
        };
        let size = length(&rows[largest]);
        let direction: Vec<f64> = rows[largest].iter().map(|entry| entry / size).collect();
        let mut column = vec![0.0; count];
        for (at, row) in rows
            .iter_mut()
            .enumerate()
            .filter(|(at, _)| shares[*at] > 0.0)
        {
            let part = dot(row, &direction);
            if part.abs() > ROUNDING * lengths[at] {
                column[at] = part;
            }
            subtract(row, part, &direction);
        }
        for (at, share) in shares.iter_mut().enumerate() {
            *share = left(&rows, at);
            if *share <= ROUNDING || at == largest {
                *share = 0.0;
            }
        }
        found.push(column);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a dozen operations on numbers up to 3.
    const SAME: f64 = 1e-14;

    fn covariance(columns: &[Vec<f64>], one: usize, other: usize) -> f64 {
        columns
            .iter()
            .map(|column| column[one] * column[other])
            .sum()
    }

    #[test]
    fn errors_of_one_shape_become_one_and_what_one_run_has_besides_stays_with_it() {
        // Five errors alike on the runs 1 to 3, and each with its own size on run 0.
        let of_error = |error: f64| vec![3.0 - error * error, error, -2.0 * error, 0.5 * error];
        let columns: Vec<Vec<f64>> = [1.0, 0.3, -0.7, 1.9, 0.1].map(of_error).to_vec();
        let few = few_columns(&columns);
        assert_eq!(few.len(), 2);
        assert_eq!(few[1][1..], [0.0; 3]);
        for one in 0..4 {
            for other in 0..4 {
                let before = covariance(&columns, one, other);
                assert!((covariance(&few, one, other) - before).abs() < SAME * 10.0);
            }
        }
    }

    #[test]
    fn errors_of_different_shapes_stay_as_many() {
        let columns = vec![
            vec![1.0, 2.0, 0.0],
            vec![0.0, 1.0, 1.0],
            vec![1.0, 0.0, 1.0],
        ];
        let few = few_columns(&columns);
        assert_eq!(few.len(), 3);
        for one in 0..3 {
            let before = covariance(&columns, one, one);
            assert!((covariance(&few, one, one) - before).abs() < SAME);
        }
    }
}
