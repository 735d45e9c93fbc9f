//! Errors and degrees of freedom of combinations where variances are estimated from few runs.
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

use std::sync::Arc;

use twofloat::TwoFloat;

use super::spreads::{Raised, of_means};
use super::variances::{Evaluation, Problem};
use crate::regression::algebra::{
    Matrix, cholesky, dot, solve_transposed, solve_transposed_doubled,
};
use crate::regression::plain::FTest;

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
    /// The variances as large as they may well be.
    raised: Raised,
    /// Covariance of `R β`, widened for what is not known of the variances.
    adjusted: Matrix,
    /// That of means over levels of blocks.
    of_means: Matrix,
    /// `V⁻¹ X R⁻¹`, one row a run; shared by copies.
    weighted: Arc<Matrix>,
    /// How many runs there are.
    runs: usize,
    /// How often the scatter of a new run holds each variance.
    of_new_run: Vec<f64>,
}

/// What a fit of another kind knows of the errors of its coefficients; fields as those of [`SmallSample`].
pub(crate) struct Parts {
    pub columns: Vec<usize>,
    pub upper: Matrix,
    pub slopes: Vec<Matrix>,
    pub errors: Matrix,
    pub adjusted: Matrix,
    pub weighted: Matrix,
    pub of_new_run: Vec<f64>,
}

/// What several combinations explain together.
pub(crate) struct Tested {
    /// How many combinations there are.
    pub df: usize,
    /// Their squared length on the scale of known variances, without a factor for small samples; zero without a test.
    pub squares: f64,
    /// The test whether all of them are zero.
    pub test: Option<FTest>,
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
        at_bound: &[bool],
    ) -> Option<Self> {
        let (rank, count) = (found.rank(), found.scores.len());
        let errors = cholesky::inverse(information, count)?;
        let mut slopes = Vec::with_capacity(count);
        let mut rests: Vec<Vec<Vec<f64>>> = Vec::with_capacity(count);
        for variance in 0..count {
            let columns = (0..rank).map(|column| found.weighted.column(column));
            let half = |column: &[f64]| problem.halved(variance, column);
            let halves: Vec<Vec<f64>> = columns.clone().map(half).collect();
            slopes.push(Matrix::of_pairs(&halves, |one, other| dot(one, other)));
            let rest = |column: &[f64]| found.direction(problem, variance, column);
            rests.push(columns.map(rest).collect());
        }
        let places: Vec<usize> = (0..rank).collect();
        let adjusted = Matrix::of_pairs(&places, |&row, &column| {
            let mut sum = f64::from(u8::from(row == column));
            for (one, rest) in rests.iter().enumerate() {
                for (other, beside) in rests.iter().enumerate() {
                    sum += 2.0 * errors.get(one, other) * dot(&rest[row], &beside[column]);
                }
            }
            sum
        });
        let first_block = problem.shape.group_count;
        let of_means = of_means(found, information, &slopes, at_bound, first_block);
        let finite = (0..rank).all(|column| adjusted.column(column).iter().all(|v| v.is_finite()));
        finite.then_some(Self {
            columns,
            upper: found.upper.clone(),
            slopes,
            raised: Raised::of(found, information, &errors, first_block),
            errors,
            of_means: of_means.unwrap_or_else(|| adjusted.clone()),
            adjusted,
            weighted: Arc::new(found.weighted.clone()),
            runs: problem.response.len(),
            of_new_run: vec![1.0; count],
        })
    }

    /// From what another kind of fit worked out for so many runs.
    pub fn from_parts(parts: Parts, runs: usize) -> Self {
        Self {
            columns: parts.columns,
            upper: parts.upper,
            raised: Raised::not(&parts.errors, parts.slopes.len()),
            of_means: parts.adjusted.clone(),
            slopes: parts.slopes,
            errors: parts.errors,
            adjusted: parts.adjusted,
            weighted: Arc::new(parts.weighted),
            runs,
            of_new_run: parts.of_new_run,
        }
    }

    /// By how much a scaled combination changes per change of the response of each run.
    pub fn run_weights(&self, scaled: &[f64]) -> Vec<f64> {
        self.weighted.combined(scaled, self.runs)
    }

    /// A combination of coded coefficients on the scale of `R β`.
    pub fn scaled(&self, combination: &[f64]) -> Vec<f64> {
        solve_transposed(&self.upper, &self.own(combination))
    }

    /// The same, solved in doubled precision.
    pub fn scaled_doubled(&self, combination: &[TwoFloat]) -> Vec<f64> {
        let solved = solve_transposed_doubled(&self.upper, &self.own(combination));
        solved.iter().map(TwoFloat::hi).collect()
    }

    /// The coordinates of a combination of coded columns on the scale of `R β`.
    pub fn coordinates(&self, coded: &[f64]) -> Vec<f64> {
        self.upper.combined(&self.own(coded), self.columns.len())
    }

    /// The entries of the independent columns.
    fn own<N: Copy>(&self, coded: &[N]) -> Vec<N> {
        self.columns.iter().map(|&column| coded[column]).collect()
    }

    /// The covariance of two scaled combinations.
    pub fn covariance(&self, one: &[f64], other: &[f64]) -> f64 {
        product(&self.adjusted, one, other)
    }

    /// The covariances of some combinations of coded coefficients.
    pub fn covariances(&self, combinations: &[Vec<f64>]) -> Matrix {
        let scaled = combinations.iter().map(|one| self.scaled(one));
        between(&self.adjusted, &scaled.collect::<Vec<_>>())
    }

    /// The degrees of freedom of a scaled combination: `2 v² / (gᵀ W g)`, `g` the slopes of its variance `v`.
    pub fn degrees_of_freedom(&self, scaled: &[f64]) -> f64 {
        let slopes = self.slopes_of(scaled);
        self.degrees(dot(scaled, scaled), &slopes)
    }

    /// The covariance of two scaled combinations that are means over levels of blocks.
    pub fn covariance_of_means(&self, one: &[f64], other: &[f64]) -> f64 {
        product(&self.of_means, one, other)
    }

    /// The degrees of freedom of a mean over levels of blocks, at a spread between them that may well be there.
    pub fn degrees_of_mean(&self, scaled: &[f64]) -> f64 {
        self.degrees_if_raised(&self.slopes_of(scaled), dot(scaled, scaled))
    }

    /// The same for the variance `v` of a new run, which holds the variances of the fit once more, those from run to run
    /// by these shares.
    pub fn degrees_of_new_run(&self, scaled: &[f64], v: f64, shares: &[f64]) -> f64 {
        let mut slopes = self.slopes_of(scaled);
        for (slope, held) in slopes.iter_mut().zip(self.held(shares)) {
            *slope += held;
        }
        self.degrees_if_raised(&slopes, v)
    }

    /// How often the scatter of a new run holds each variance, where those from run to run, which come first, have these shares.
    pub fn held(&self, shares: &[f64]) -> Vec<f64> {
        let mut held = self.of_new_run.clone();
        for (held, share) in held.iter_mut().zip(shares) {
            *held *= share;
        }
        held
    }

    /// The same for a variance `v` that holds so much of each variance of the fit.
    pub fn degrees(&self, v: f64, slopes: &[f64]) -> f64 {
        limited(2.0 * v * v / product(&self.errors, slopes, slopes))
    }

    fn slopes_of(&self, scaled: &[f64]) -> Vec<f64> {
        let slope_of = |slope| product(slope, scaled, scaled);
        self.slopes.iter().map(slope_of).collect()
    }

    fn degrees_if_raised(&self, slopes: &[f64], v: f64) -> f64 {
        let v = v + dot(&self.raised.by, slopes);
        limited(2.0 * v * v / product(&self.raised.errors, slopes, slopes))
    }

    /// The standard error of a variance of the fit.
    pub fn error_of_variance(&self, variance: usize) -> f64 {
        self.errors.get(variance, variance).sqrt()
    }

    /// The degrees of freedom of a variance of the fit, `2 v² / u²(v)`.
    pub fn degrees_of_variance(&self, variance: usize, value: f64) -> f64 {
        2.0 * (value / self.error_of_variance(variance)).powi(2)
    }

    /// Tests whether all of several combinations are zero, given as orthonormal directions on the scale of `R β`.
    ///
    /// Where so few blocks carry the test that the formulas of Kenward and Roger leave their range, the degrees of freedom
    /// are those of Fai and Cornelius, J. Statist. Comput. Simul. 54 (1996) 363-378, and the ratio is not scaled.
    pub fn test(&self, directions: &[Vec<f64>], coefficients: &[f64]) -> Tested {
        let df = directions.len();
        let values: Vec<f64> = directions.iter().map(|d| dot(d, coefficients)).collect();
        let covariance = between(&self.adjusted, directions);
        let solved = cholesky::solve(&covariance, &values).filter(|_| df > 0);
        let test = solved.and_then(|solved| {
            let (scale, denominator) = self
                .kenward_roger(directions)
                .unwrap_or_else(|| (1.0, self.fai_cornelius(directions)));
            FTest::of(scale * (dot(&values, &solved) / df as f64), df, denominator)
        });
        Tested {
            df,
            squares: test.map_or(0.0, |_| dot(&values, &values)),
            test,
        }
    }

    /// The factor of the ratio and its degrees of freedom; None out of their range.
    fn kenward_roger(&self, directions: &[Vec<f64>]) -> Option<(f64, f64)> {
        let count = directions.len() as f64;
        if let [only] = directions {
            return Some((1.0, self.degrees_of_freedom(only)));
        }
        // The slopes between the directions; orthonormal directions have the unit covariance.
        let slopes = self.slopes.iter();
        let inner: Vec<Matrix> = slopes.map(|slope| between(slope, directions)).collect();
        let places = 0..directions.len();
        let trace = |matrix: &Matrix| places.clone().map(|at| matrix.get(at, at)).sum::<f64>();
        let (mut a1, mut a2) = (0.0, 0.0);
        for (one, matrix) in inner.iter().enumerate() {
            for (other, beside) in inner.iter().enumerate() {
                let error = self.errors.get(one, other);
                a1 += error * trace(matrix) * trace(beside);
                let columns = places.clone();
                let products = columns.map(|at| dot(matrix.column(at), beside.column(at)));
                a2 += error * products.sum::<f64>();
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
        let with_mean = own.clone().filter(|&degrees| degrees > 2.0);
        let sum: f64 = with_mean.map(|degrees| degrees / (degrees - 2.0)).sum();
        if sum > count {
            limited(2.0 * sum / (sum - count))
        } else {
            // So few blocks that the ratio has no mean: the fewest degrees of freedom of a single direction.
            own.fold(2.0, f64::min)
        }
    }
}

/// `aᵀ M b`.
fn product(matrix: &Matrix, one: &[f64], other: &[f64]) -> f64 {
    dot(other, &applied(matrix, one))
}

/// `aᵀ M`.
fn applied(matrix: &Matrix, vector: &[f64]) -> Vec<f64> {
    let size = vector.len();
    let entry = |at| dot(&matrix.column(at)[..size], vector);
    (0..size).map(entry).collect()
}

/// `aᵀ M b` for each two of some directions; `aᵀ M` is worked out once for each.
fn between(matrix: &Matrix, directions: &[Vec<f64>]) -> Matrix {
    let count = directions.len();
    let ours: Vec<Vec<f64>> = directions.iter().map(|one| applied(matrix, one)).collect();
    Matrix::of(count, count, |row, column| {
        dot(&directions[column], &ours[row])
    })
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
