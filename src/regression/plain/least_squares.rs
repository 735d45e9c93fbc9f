//! The least-squares coefficients, and what they leave over.
//!
//! In: the rows of the runs. Out: [`Solution`] and [`Residuals`].
//! This module never decides what can be estimated, and never returns to natural units.

use twofloat::TwoFloat;

use super::solve;
use crate::error::Error;
use crate::regression::algebra::{Matrix, dot, dot_doubled, length, solve_transposed, triangle};
use crate::regression::design::{Basis, Reduced, Runs};

/// Refinement ends by itself after two or three steps; more would only stir rounding.
const REFINEMENTS: usize = 6;
/// A correction must be this much smaller than what went before it, or refinement no longer converges.
const SHRINKS: f64 = 0.1;
/// A correction below this share of the coefficients is below the last digit of doubled precision.
const SETTLED: f64 = 1e-30;
/// Condition from which on standard errors lose more than five digits in plain precision.
const WORTH_DOUBLING: f64 = 1e5;
/// Residuals within this many roundings of what went into them are rounding themselves.
const ROUNDINGS: f64 = 32.0 * f64::EPSILON;
/// A run whose leverage is this near to 1 is fitted by itself; rounding leaves a thousand times less.
const FITTED_BY_ITSELF: f64 = 1e-10;

/// The least-squares coefficients of the coded columns.
pub(crate) struct Solution {
    pub basis: Basis,
    /// One for each coded column; zero for columns that depend on others.
    pub coefficients: Vec<TwoFloat>,
    /// The triangle of the design with the shifted response as last column.
    pub triangle: Matrix,
}

/// What the fit leaves over, in run order.
#[derive(Default)]
pub(crate) struct Residuals {
    pub fitted: Vec<f64>,
    pub residuals: Vec<f64>,
    pub leverages: Vec<f64>,
    /// Sum of squared residuals.
    pub residual_squares: f64,
    /// Sum of squared responses, about their mean if there is a constant, else about zero.
    pub total_squares: f64,
    /// Error of each run when it is left out; without meaning where one is fitted by itself alone.
    pub left_out: Vec<f64>,
    /// Residuals that scatter alike whatever the leverage, up to one factor for all; zero for a run that is fitted by itself.
    pub studentised: Vec<f64>,
    /// Sum of squared leave-one-out errors; None when a run is fitted by itself alone.
    pub left_out_squares: Option<f64>,
    /// Whether all residuals are rounding.
    pub perfect: bool,
}

impl Solution {
    /// Solves through the triangle and refines; where decisions alone rest on it and columns are well apart, the first solution
    /// is near enough, and the runs count as rough.
    ///
    /// # Errors
    /// Those of [`solve::coefficients`].
    pub fn of(runs: &mut Runs, for_decisions: bool) -> Result<Self, Error> {
        let columns = runs.columns();
        let triangle = triangle(runs.len(), columns + 1, |run, row| {
            runs.row(run, &mut row[..columns]);
            row[columns] = runs.shifted(run);
        });
        let Reduced { mut basis, right } = Basis::of(&triangle, columns);
        runs.rough = for_decisions && basis.condition <= WORTH_DOUBLING;
        if basis.condition > WORTH_DOUBLING && runs.doubled() {
            basis.keep_fine(runs.doubled_columns(&basis.independent));
        }
        let found = solve::coefficients(&basis.upper, &right)?;
        let mut coefficients = vec![TwoFloat::from(0.0); columns];
        for (&column, &value) in basis.independent.iter().zip(&found) {
            coefficients[column] = TwoFloat::from(value) / basis.weights[column];
        }
        if let Some(constant) = runs.design.constant_column() {
            coefficients[constant] += runs.shift;
        }
        let mut solution = Self {
            basis,
            coefficients,
            triangle,
        };
        if !runs.rough {
            solution.refine(runs, length(&found))?;
        }
        Ok(solution)
    }

    /// Corrects the coefficients by `RᵀR d = Xᵀ(y − Xβ)`, the right-hand side in doubled precision, until they settle.
    ///
    /// # Source
    /// Björck, Numerical Methods for Least Squares Problems, 1996, 6.6.5 (corrected seminormal equations).
    fn refine(&mut self, runs: &Runs, size: f64) -> Result<(), Error> {
        let mut before = size;
        for _ in 0..REFINEMENTS {
            let gradient = self.gradient(runs);
            let right = solve_transposed(&self.basis.upper, &self.basis.gathered(&gradient));
            let step = solve::coefficients(&self.basis.upper, &right)?;
            let moved = length(&step);
            if !moved.is_finite() || moved > SHRINKS * before {
                break;
            }
            for (&column, &value) in self.basis.independent.iter().zip(&step) {
                self.coefficients[column] += TwoFloat::from(value) / self.basis.weights[column];
            }
            if moved <= SETTLED * size {
                break;
            }
            before = moved;
        }
        Ok(())
    }

    /// `Xᵀ(y − Xβ)`, by coded column.
    fn gradient(&self, runs: &Runs) -> Vec<f64> {
        let mut sums = vec![TwoFloat::from(0.0); self.coefficients.len()];
        runs.each_doubled(|run, row| {
            let left = runs.data.response[run] - dot_doubled(row, &self.coefficients);
            for (sum, &entry) in sums.iter_mut().zip(row) {
                *sum += entry * left;
            }
        });
        sums.into_iter().map(|sum| sum.hi()).collect()
    }

    /// The second pass: fitted values, residuals and leverages from the coefficients.
    pub fn residuals(&self, runs: &Runs) -> Residuals {
        let mut found = Residuals {
            total_squares: total_squares(runs),
            ..Residuals::default()
        };
        let (mut squares, mut left_out) = (TwoFloat::from(0.0), Some(TwoFloat::from(0.0)));
        let (mut size, mut largest) = (0.0_f64, 0.0_f64);
        let mut plain = vec![0.0; self.coefficients.len()];
        runs.each_doubled(|run, row| {
            let response = runs.data.response[run];
            let fitted = dot_doubled(row, &self.coefficients);
            let residual = response - fitted;
            let mut parts = response.abs();
            for ((entry, part), coefficient) in plain.iter_mut().zip(row).zip(&self.coefficients) {
                *entry = part.hi();
                parts += (part.hi() * coefficient.hi()).abs();
            }
            let whitened = self.basis.whitened(&plain);
            let leverage = dot(&whitened, &whitened).min(1.0);
            squares += residual * residual;
            let rest = 1.0 - leverage;
            left_out = left_out
                .filter(|_| rest > FITTED_BY_ITSELF)
                .map(|sum| sum + (residual / rest) * (residual / rest));
            size = size.max(parts);
            largest = largest.max(residual.hi().abs());
            found.fitted.push(fitted.hi());
            found.residuals.push(residual.hi());
            found.leverages.push(leverage);
            found.left_out.push(residual.hi() / rest);
            let alone = rest <= FITTED_BY_ITSELF;
            let studentised = if alone {
                0.0
            } else {
                residual.hi() / rest.sqrt()
            };
            found.studentised.push(studentised);
        });
        found.residual_squares = squares.hi();
        found.left_out_squares = left_out.map(|sum| sum.hi());
        found.perfect = largest <= ROUNDINGS * size;
        found
    }
}

/// The sum of squared responses, about their mean if there is a constant, else about zero.
pub(crate) fn total_squares(runs: &Runs) -> f64 {
    let response = &runs.data.response;
    let zero = TwoFloat::from(0.0);
    let centre = match runs.design.constant_column() {
        Some(_) => response.iter().fold(zero, |sum, &value| sum + value) / response.len() as f64,
        None => zero,
    };
    let sum = response.iter().fold(zero, |sum, &value| {
        let difference = value - centre;
        sum + difference * difference
    });
    sum.hi()
}
