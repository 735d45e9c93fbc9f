//! How much do estimated variances widen what is said about the terms?
//!
//! In: what follows from the variances of a fit, and how well they are known. Out: variances and degrees of freedom of
//! combinations of coefficients, and tests of several at once.
//! This module never estimates a variance, and never knows which terms a combination stands for.
//!
//! Everything stands on the scale `R β` on which the coefficients are independent with variance 1 if the variances are known.
//!
//! # Source
//! Kenward and Roger, Small sample inference for fixed effects from restricted maximum likelihood, Biometrics 53 (1997) 983-997.
//! For one combination their degrees of freedom are those of Giesbrecht and Burns, Biometrics 41 (1985) 477-486.

use twofloat::TwoFloat;

use super::variances::{Evaluation, Problem};
use crate::regression::algebra::{
    Matrix, cholesky, dot, solve_transposed, solve_transposed_doubled,
};

/// From so many degrees of freedom on, t and normal quantiles agree to a millionth; more are not told apart.
pub(crate) const MOST_DEGREES: f64 = 1e6;

/// What is known of the errors of the coefficients.
#[derive(Debug, Clone)]
pub(crate) struct SmallSample {
    /// Positions of the independent coded columns.
    columns: Vec<usize>,
    /// `R` of the whitened columns.
    upper: Matrix,
    /// For each variance the derivative of the covariance of `R β`.
    slopes: Vec<Matrix>,
    /// Covariance of the variances.
    errors: Matrix,
    /// Covariance of `R β`, widened for what is not known of the variances.
    adjusted: Matrix,
    /// `V⁻¹ X R⁻¹`, one row a run.
    weighted: Matrix,
    /// How many runs there are.
    runs: usize,
}

/// A test of several combinations at once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct WaldTest {
    /// Squared length of the combinations on the scale of known variances, without a factor for small samples.
    pub squares: f64,
    /// Ratio that follows the F distribution.
    pub f: f64,
    /// Degrees of freedom of its denominator.
    pub denominator: f64,
}

impl SmallSample {
    /// Works out slopes and the widened covariance: `Φ + 2 Φ Σ W_ij (Q_ij − P_i Φ P_j) Φ` in the words of the source.
    ///
    /// `information` is that about the variances; None if it is singular or gives no finite numbers.
    pub fn of(
        columns: Vec<usize>,
        problem: &Problem,
        found: &Evaluation,
        information: &Matrix,
    ) -> Option<Self> {
        let (rank, count) = (found.rank(), found.scores.len());
        let errors = cholesky::inverse(information, count)?;
        let mut slopes = Vec::with_capacity(count);
        let mut rests: Vec<Matrix> = Vec::with_capacity(count);
        for variance in 0..count {
            let halves: Vec<Vec<f64>> = (0..rank)
                .map(|column| problem.halved(variance, found.weighted.column(column)))
                .collect();
            let mut slope = Matrix::zeros(rank, rank);
            for (one, half) in halves.iter().enumerate() {
                for (other, beside) in halves.iter().enumerate() {
                    slope.set(one, other, dot(half, beside));
                }
            }
            slopes.push(slope);
            let mut rest = Matrix::zeros(problem.response.len(), rank);
            for column in 0..rank {
                let mut direction = problem.derivative(variance, found.weighted.column(column));
                found.factored.whiten(&mut direction);
                found.project(&mut direction);
                rest.column_mut(column).copy_from_slice(&direction);
            }
            rests.push(rest);
        }
        let mut adjusted = Matrix::zeros(rank, rank);
        for row in 0..rank {
            for column in 0..rank {
                let mut sum = f64::from(u8::from(row == column));
                for (one, rest) in rests.iter().enumerate() {
                    for (other, beside) in rests.iter().enumerate() {
                        sum += 2.0
                            * errors.get(one, other)
                            * dot(rest.column(row), beside.column(column));
                    }
                }
                adjusted.set(row, column, sum);
            }
        }
        let finite = (0..rank).all(|column| adjusted.column(column).iter().all(|v| v.is_finite()));
        finite.then_some(Self {
            columns,
            upper: found.upper.clone(),
            slopes,
            errors,
            adjusted,
            weighted: found.weighted.clone(),
            runs: problem.response.len(),
        })
    }

    /// By how much a scaled combination changes per change of the response of each run.
    pub fn run_weights(&self, scaled: &[f64]) -> Vec<f64> {
        let mut weights = vec![0.0; self.runs];
        for (column, share) in scaled.iter().enumerate() {
            for (weight, entry) in weights.iter_mut().zip(self.weighted.column(column)) {
                *weight += share * entry;
            }
        }
        weights
    }

    /// A combination of coded coefficients on the scale of `R β`.
    pub fn scaled(&self, combination: &[f64]) -> Vec<f64> {
        let own: Vec<f64> = self
            .columns
            .iter()
            .map(|&column| combination[column])
            .collect();
        solve_transposed(&self.upper, &own)
    }

    /// The same, solved in doubled precision.
    pub fn scaled_doubled(&self, combination: &[TwoFloat]) -> Vec<f64> {
        let own: Vec<TwoFloat> = self
            .columns
            .iter()
            .map(|&column| combination[column])
            .collect();
        let solved = solve_transposed_doubled(&self.upper, &own);
        solved.iter().map(TwoFloat::hi).collect()
    }

    /// The coordinates of a combination of coded columns on the scale of `R β`.
    pub fn coordinates(&self, coded: &[f64]) -> Vec<f64> {
        let mut found = vec![0.0; self.columns.len()];
        for (position, &column) in self.columns.iter().enumerate() {
            for (value, entry) in found.iter_mut().zip(self.upper.column(position)) {
                *value += coded[column] * entry;
            }
        }
        found
    }

    /// The covariance of two scaled combinations.
    pub fn covariance(&self, one: &[f64], other: &[f64]) -> f64 {
        product(&self.adjusted, one, other)
    }

    /// The degrees of freedom of a scaled combination: `2 v² / (gᵀ W g)`, `g` the slopes of its variance `v`.
    pub fn degrees_of_freedom(&self, scaled: &[f64]) -> f64 {
        self.degrees(scaled, dot(scaled, scaled), 0.0)
    }

    /// The same for the variance `v` of a new run, which holds each variance of the fit once more.
    pub fn degrees_of_new_run(&self, scaled: &[f64], v: f64) -> f64 {
        self.degrees(scaled, v, 1.0)
    }

    fn degrees(&self, scaled: &[f64], v: f64, besides: f64) -> f64 {
        let slopes: Vec<f64> = self
            .slopes
            .iter()
            .map(|slope| product(slope, scaled, scaled) + besides)
            .collect();
        limited(2.0 * v * v / product(&self.errors, &slopes, &slopes))
    }

    /// The standard error of a variance of the fit.
    pub fn error_of_variance(&self, variance: usize) -> f64 {
        self.errors.get(variance, variance).sqrt()
    }

    /// Tests whether all of several combinations are zero, given as orthonormal directions on the scale of `R β`.
    ///
    /// Where so few blocks carry the test that the formulas of Kenward and Roger leave their range, the degrees of freedom
    /// are those of Fai and Cornelius, J. Statist. Comput. Simul. 54 (1996) 363-378, and the ratio is not scaled.
    pub fn test(&self, directions: &[Vec<f64>], coefficients: &[f64]) -> Option<WaldTest> {
        let count = directions.len();
        let values: Vec<f64> = directions.iter().map(|d| dot(d, coefficients)).collect();
        let mut covariance = Matrix::zeros(count, count);
        for (row, one) in directions.iter().enumerate() {
            for (column, other) in directions.iter().enumerate() {
                covariance.set(row, column, self.covariance(one, other));
            }
        }
        let solved = cholesky::solve(&covariance, &values)?;
        let plain = dot(&values, &solved) / count as f64;
        let (scale, denominator) = self
            .kenward_roger(directions)
            .unwrap_or_else(|| (1.0, self.fai_cornelius(directions)));
        let f = scale * plain;
        f.is_finite().then_some(WaldTest {
            squares: dot(&values, &values),
            f,
            denominator,
        })
    }

    /// The factor of the ratio and its degrees of freedom; None out of their range.
    fn kenward_roger(&self, directions: &[Vec<f64>]) -> Option<(f64, f64)> {
        let count = directions.len() as f64;
        if let [only] = directions {
            return Some((1.0, self.degrees_of_freedom(only)));
        }
        // The slopes between the directions; orthonormal directions have the unit covariance.
        let inner: Vec<Matrix> = self
            .slopes
            .iter()
            .map(|slope| {
                let mut inner = Matrix::zeros(directions.len(), directions.len());
                for (row, one) in directions.iter().enumerate() {
                    for (column, other) in directions.iter().enumerate() {
                        inner.set(row, column, product(slope, one, other));
                    }
                }
                inner
            })
            .collect();
        let trace = |matrix: &Matrix| -> f64 {
            (0..directions.len())
                .map(|place| matrix.get(place, place))
                .sum()
        };
        let (mut a1, mut a2) = (0.0, 0.0);
        for (one, matrix) in inner.iter().enumerate() {
            for (other, beside) in inner.iter().enumerate() {
                let error = self.errors.get(one, other);
                a1 += error * trace(matrix) * trace(beside);
                let products: f64 = (0..directions.len())
                    .map(|column| dot(matrix.column(column), beside.column(column)))
                    .sum();
                a2 += error * products;
            }
        }
        let b = (a1 + 6.0 * a2) / (2.0 * count);
        let g = ((count + 1.0) * a1 - (count + 4.0) * a2) / ((count + 2.0) * a2);
        let shared = 3.0 * count + 2.0 * (1.0 - g);
        let (c1, c2, c3) = (g / shared, (count - g) / shared, (count + 2.0 - g) / shared);
        let expected = 1.0 / (1.0 - a2 / count);
        let variance = 2.0 / count * (1.0 + c1 * b) / ((1.0 - c2 * b).powi(2) * (1.0 - c3 * b));
        let ratio = variance / (2.0 * expected * expected);
        let degrees = 4.0 + (count + 2.0) / (count * ratio - 1.0);
        let scale = degrees / (expected * (degrees - 2.0));
        let usable = expected > 0.0 && variance > 0.0 && degrees > 2.0 && scale > 0.0;
        (usable && scale.is_finite()).then(|| (scale, limited(degrees)))
    }

    /// The degrees of freedom that give the expected ratio `Σ ν/(ν − 2)` of the single directions, each with its own `ν`.
    fn fai_cornelius(&self, directions: &[Vec<f64>]) -> f64 {
        let count = directions.len() as f64;
        let own = directions.iter().map(|d| self.degrees_of_freedom(d));
        let sum: f64 = own
            .filter(|&degrees| degrees > 2.0)
            .map(|degrees| degrees / (degrees - 2.0))
            .sum();
        if sum > count {
            limited(2.0 * sum / (sum - count))
        } else {
            // So few blocks that the ratio has no mean: the fewest degrees of freedom of a single direction.
            let own = directions.iter().map(|d| self.degrees_of_freedom(d));
            own.fold(2.0, f64::min)
        }
    }
}

/// `aᵀ M b`.
fn product(matrix: &Matrix, one: &[f64], other: &[f64]) -> f64 {
    other
        .iter()
        .enumerate()
        .map(|(column, share)| share * dot(&matrix.column(column)[..one.len()], one))
        .sum()
}

/// Degrees of freedom as a finite number.
fn limited(degrees: f64) -> f64 {
    // A variance that the fit hardly estimates has so many that the ratio may overflow.
    if degrees.is_finite() {
        degrees.min(MOST_DEGREES)
    } else {
        MOST_DEGREES
    }
}
