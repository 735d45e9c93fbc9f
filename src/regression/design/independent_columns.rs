//! The independent columns of a design, and what they say about a combination of coefficients.
//!
//! In: the triangle of the design. Out: [`Basis`]: rank, null vectors, sizes of combinations.
//! This module never sees a response or the name of a term.

use std::ops::Div;

use twofloat::TwoFloat;

use super::coding::{Combination, dense};
use super::fine_triangle::FineTriangle;
use crate::regression::algebra::{
    Matrix, dot, dot_doubled, length, pivoted, solve_transposed, solve_transposed_doubled,
    solve_upper, unit,
};

/// What is left of a column of unit size when it depends on the others; rounding leaves a thousand times less.
pub(crate) const DEPENDENT: f64 = 1e-12;

/// The independent columns of a design, with their triangle.
#[derive(Debug, Clone)]
pub(crate) struct Basis {
    /// Positions of the independent columns, in the order of the triangle.
    pub independent: Vec<usize>,
    /// Combinations of coefficients that change no fitted value, by coded column, of unit scaled size.
    pub null: Vec<Vec<f64>>,
    /// Bound on the condition of the scaled triangle: `‖R‖ ‖R⁻¹‖`, both the root of the sum of all squared entries.
    pub condition: f64,
    /// Powers of two near the size of each column, so that scaling is exact.
    pub weights: Vec<f64>,
    /// The triangle whose leading `rank` columns belong to the scaled independent columns.
    pub upper: Matrix,
    /// The triangle in doubled precision, where plain precision would cost standard errors their digits.
    fine: Option<FineTriangle>,
}

/// A basis, and the right-hand side `Qᵀy` that belongs to its triangle.
pub(crate) struct Reduced {
    pub basis: Basis,
    pub right: Vec<f64>,
}

/// The first `columns` columns of a triangle scaled to about unit size, and their weights.
pub(crate) fn scaled_columns(triangle: &Matrix, columns: usize) -> (Vec<Vec<f64>>, Vec<f64>) {
    (0..columns)
        .map(|position| {
            let column = triangle.column(position);
            let size = length(column);
            let weight = if size > 0.0 {
                size.log2().round().exp2()
            } else {
                1.0
            };
            (column.iter().map(|value| value / weight).collect(), weight)
        })
        .unzip()
}

impl Basis {
    /// Finds the rank of the first `columns` columns of a triangle whose next column holds `Qᵀy`.
    pub fn of(triangle: &Matrix, columns: usize) -> Reduced {
        let (mut scaled, weights) = scaled_columns(triangle, columns);
        scaled.push(triangle.column(columns).to_vec());
        let found = pivoted(&scaled, columns, DEPENDENT);
        let rank = found.rank;
        let null = |dependent: usize| {
            let share = solve_upper(&found.upper, &found.upper.column(dependent)[..rank]);
            let size = (1.0 + dot(&share, &share)).sqrt();
            let mut vector = vec![0.0; columns];
            for (part, &column) in share.iter().zip(&found.order) {
                vector[column] = -part / (size * weights[column]);
            }
            let column = found.order[dependent];
            vector[column] = 1.0 / (size * weights[column]);
            vector
        };
        let basis = Basis {
            independent: found.order[..rank].to_vec(),
            null: (rank..columns).map(null).collect(),
            condition: condition(&found.upper, rank),
            weights,
            upper: found.upper,
            fine: None,
        };
        let right = found.carried.column(0)[..rank].to_vec();
        Reduced { basis, right }
    }

    /// How many columns are independent.
    pub fn rank(&self) -> usize {
        self.independent.len()
    }

    /// Keeps the triangle of the same columns in doubled precision too; `columns` are those of the independent ones, as coded.
    pub fn keep_fine(&mut self, mut columns: Vec<Vec<TwoFloat>>) {
        for (column, &position) in columns.iter_mut().zip(&self.independent) {
            let weight = self.weights[position];
            column.iter_mut().for_each(|value| *value /= weight);
        }
        self.fine = FineTriangle::of(columns);
    }

    /// Whether the columns depend on one another so nearly that plain precision would cost digits.
    pub fn is_fine(&self) -> bool {
        self.fine.is_some()
    }

    /// `R⁻ᵀ f` of a combination of coded coefficients: its squared size is the variance of the combination, in units of the residual variance.
    pub fn whitened(&self, combination: &[f64]) -> Vec<f64> {
        solve_transposed(&self.upper, &self.gathered(combination))
    }

    /// The variance of a combination in units of the residual variance, solved in doubled precision.
    pub fn variance(&self, combination: &[TwoFloat]) -> f64 {
        let gathered = self.gathered(combination);
        if let Some(fine) = &self.fine {
            return fine.variance(&gathered).hi();
        }
        let whitened = solve_transposed_doubled(&self.upper, &gathered);
        dot_doubled(&whitened, &whitened).hi()
    }

    /// The entries of the independent columns, scaled as the triangle is.
    pub fn gathered<N: Copy + Div<f64, Output = N>>(&self, combination: &[N]) -> Vec<N> {
        let scaled = |&column: &usize| combination[column] / self.weights[column];
        self.independent.iter().map(scaled).collect()
    }

    /// Whether a combination of coded coefficients changes along a vector that changes no fitted value.
    pub fn touches(&self, combination: &[f64], null: &[f64]) -> bool {
        let mut product = 0.0;
        let (mut one, mut other) = (0.0_f64, 0.0_f64);
        for ((&share, &part), &weight) in combination.iter().zip(null).zip(&self.weights) {
            product += share * part;
            one += (share / weight).powi(2);
            other += (part * weight).powi(2);
        }
        // Null vectors carry the rounding of the triangle, multiplied by its condition.
        let tolerance = DEPENDENT.max(16.0 * f64::EPSILON * self.condition);
        product.abs() > tolerance * one.sqrt() * other.sqrt()
    }

    /// The change of a natural term along a vector of coded changes, exactly zero when there is none.
    pub fn change(&self, term: &Combination, coded: &[f64]) -> f64 {
        let entries: Vec<f64> = dense(term, coded.len()).iter().map(TwoFloat::hi).collect();
        if !self.touches(&entries, coded) {
            return 0.0;
        }
        let parts = term.iter().map(|&(column, share)| share * coded[column]);
        parts.fold(TwoFloat::from(0.0), |sum, part| sum + part).hi()
    }
}

fn condition(upper: &Matrix, rank: usize) -> f64 {
    if rank == 0 {
        return 1.0;
    }
    let (mut size, mut inverse) = (0.0, 0.0);
    for column in 0..rank {
        let entries = &upper.column(column)[..=column];
        size += dot(entries, entries);
        let solved = solve_upper(upper, &unit(column + 1, column));
        inverse += dot(&solved, &solved);
    }
    (size * inverse).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regression::algebra::triangle;

    #[test]
    fn two_equal_columns_leave_one_null_vector() {
        let rows = [
            [1.0, 1.0, 3.0, 1.0],
            [1.0, 1.0, -1.0, 2.0],
            [1.0, 1.0, 0.5, 4.0],
        ];
        let upper = triangle(3, 4, |run, row| row.copy_from_slice(&rows[run]));
        let found = Basis::of(&upper, 3).basis;
        assert_eq!(found.rank(), 2);
        assert_eq!(found.null.len(), 1);
        let null = &found.null[0];
        assert!((null[0] + null[1]).abs() < 1e-15 && null[2].abs() < 1e-15);
        assert!(found.touches(&[1.0, 0.0, 0.0], null));
        assert!(!found.touches(&[1.0, 1.0, 0.0], null));
        assert!(!found.touches(&[0.0, 0.0, 1.0], null));
    }
}
