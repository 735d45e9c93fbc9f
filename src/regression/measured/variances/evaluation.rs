//! Coefficients, scores and information that follow from given variances.
//!
//! In: a [`Problem`] and variances. Out: [`Evaluation`]: coefficients, the scores of the restricted likelihood and their
//! average information.
//! This module never chooses a variance.
//!
//! With `P = V⁻¹ − V⁻¹X(XᵀV⁻¹X)⁻¹XᵀV⁻¹` and `V_i` the derivative of `V` by a variance, the score is
//! `−½ tr(P V_i) + ½ yᵀP V_i P y` and the average information `½ yᵀP V_i P V_j P y`.
//!
//! # Source
//! Patterson and Thompson, Biometrika 58 (1971) 545-554 (restricted likelihood);
//! Gilmour, Thompson and Cullis, Biometrics 51 (1995) 1440-1450 (average information).

use crate::regression::algebra::{Matrix, dot, solve_transposed, solve_upper, subtract, triangle};
use crate::regression::measured::covariance::{At, Factored, Shape};

/// Independent columns, responses and the shape of their errors.
pub(crate) struct Problem<'a> {
    /// The columns, one row a run.
    pub columns: Matrix,
    /// How many columns there are.
    pub rank: usize,
    /// The responses.
    pub response: Vec<f64>,
    /// Which runs share which errors.
    pub shape: &'a Shape,
}

/// What follows from given variances.
pub(crate) struct Evaluation<'a> {
    /// The covariance of the runs.
    pub factored: Factored<'a>,
    /// `R` of the whitened columns.
    pub upper: Matrix,
    /// The coefficients of the columns.
    pub coefficients: Vec<f64>,
    /// The whitened columns times `R⁻¹`: orthonormal.
    pub orthonormal: Matrix,
    /// `V⁻¹ X R⁻¹`.
    pub weighted: Matrix,
    /// `P y`.
    pub projected: Vec<f64>,
    /// The diagonal of `V⁻¹`.
    pub inverse_diagonal: Vec<f64>,
    /// For each variance the trace of `V⁻¹ V_i`.
    pub traces: Vec<f64>,
    /// For each variance the trace of `P V_i`.
    pub left: Vec<f64>,
    /// For each variance its score.
    pub scores: Vec<f64>,
    /// The average information.
    pub information: Matrix,
}

impl<'a> Problem<'a> {
    /// Works out what follows from these variances, one from run to run for each group of runs, then one for each block; None if they give no covariance, or numbers that are not finite.
    pub fn evaluate(&self, at: &At, variances: &[f64]) -> Option<Evaluation<'a>> {
        let factored = Factored::new(self.shape, at, variances)?;
        let (runs, rank) = (self.response.len(), self.rank);
        let mut orthonormal = self.columns.clone();
        for column in 0..rank {
            factored.whiten(orthonormal.column_mut(column));
        }
        let mut response = self.response.clone();
        factored.whiten(&mut response);
        let triangle = triangle(runs, rank + 1, |run, row| {
            for (column, value) in row[..rank].iter_mut().enumerate() {
                *value = orthonormal.get(run, column);
            }
            row[rank] = response[run];
        });
        if (0..rank).any(|column| triangle.get(column, column) == 0.0) {
            return None;
        }
        let coefficients = solve_upper(&triangle, &triangle.column(rank)[..rank]);
        divide(&mut orthonormal, &triangle, rank);
        let mut projected = self.residuals(&coefficients);
        factored.divide(&mut projected);
        let mut weighted = orthonormal.clone();
        for column in 0..rank {
            factored.whiten_transposed(weighted.column_mut(column));
        }
        let (inverse_diagonal, of_blocks) = factored.inverse_parts(variances);
        let mut traces = vec![0.0; self.shape.group_count];
        for (&group, entry) in self.shape.groups.iter().zip(&inverse_diagonal) {
            traces[group] += entry;
        }
        traces.extend(of_blocks);
        let mut found = Evaluation {
            factored,
            upper: triangle,
            coefficients,
            orthonormal,
            weighted,
            projected,
            inverse_diagonal,
            traces,
            left: Vec::new(),
            scores: Vec::new(),
            information: Matrix::zeros(0, 0),
        };
        found.add_scores(self);
        let finite = found.scores.iter().chain(&found.coefficients);
        let mut finite = finite.chain(found.information.column(0));
        finite.all(|number| number.is_finite()).then_some(found)
    }

    /// `y − Xβ`.
    pub fn residuals(&self, coefficients: &[f64]) -> Vec<f64> {
        let mut left = self.response.clone();
        for (column, &coefficient) in coefficients.iter().enumerate() {
            subtract(&mut left, coefficient, self.columns.column(column));
        }
        left
    }

    /// `V_i x`, with `i` the position of a variance.
    pub fn derivative(&self, variance: usize, vector: &[f64]) -> Vec<f64> {
        let Some(block) = variance.checked_sub(self.shape.group_count) else {
            return self.of_group(variance, vector);
        };
        let sums = self.level_sums(block, vector);
        let levels = self.shape.levels[block].iter();
        levels.map(|&level| sums[level]).collect()
    }

    /// The size of a vector whose squared length is `xᵀ V_i x`.
    pub fn halved(&self, variance: usize, vector: &[f64]) -> Vec<f64> {
        match variance.checked_sub(self.shape.group_count) {
            None => self.of_group(variance, vector),
            Some(block) => self.level_sums(block, vector),
        }
    }

    /// The vector with zeros for the runs of other groups.
    fn of_group(&self, group: usize, vector: &[f64]) -> Vec<f64> {
        let of_runs = vector.iter().zip(&self.shape.groups);
        of_runs
            .map(|(&value, &own)| if own == group { value } else { 0.0 })
            .collect()
    }

    fn level_sums(&self, block: usize, vector: &[f64]) -> Vec<f64> {
        let mut sums = vec![0.0; self.shape.level_counts[block]];
        for (&level, value) in self.shape.levels[block].iter().zip(vector) {
            sums[level] += value;
        }
        sums
    }
}

impl Evaluation<'_> {
    /// How many columns there are.
    pub fn rank(&self) -> usize {
        self.coefficients.len()
    }

    fn add_scores(&mut self, problem: &Problem) {
        let count = self.traces.len();
        let mut directions = Vec::with_capacity(count);
        for variance in 0..count {
            let taken: f64 = (0..self.rank())
                .map(|column| {
                    let part = problem.halved(variance, self.weighted.column(column));
                    dot(&part, &part)
                })
                .sum();
            let left = self.traces[variance] - taken;
            let part = problem.halved(variance, &self.projected);
            self.left.push(left);
            self.scores.push((dot(&part, &part) - left) / 2.0);
            directions.push(self.direction(problem, variance, &self.projected));
        }
        self.information = Matrix::of_pairs(&directions, |one, other| dot(one, other) / 2.0);
    }

    /// What the columns cannot explain of `V_i x`, whitened.
    pub fn direction(&self, problem: &Problem, variance: usize, vector: &[f64]) -> Vec<f64> {
        let mut direction = problem.derivative(variance, vector);
        self.factored.whiten(&mut direction);
        self.project(&mut direction);
        direction
    }

    /// Takes off a whitened vector what the columns can explain.
    pub fn project(&self, vector: &mut [f64]) {
        for column in 0..self.rank() {
            let entries = self.orthonormal.column(column);
            subtract(vector, dot(entries, vector), entries);
        }
    }

    /// The correction `(XᵀV⁻¹X)⁻¹ XᵀV⁻¹ e` for what coefficients leave over.
    pub fn correction(&self, problem: &Problem, left: &[f64]) -> Vec<f64> {
        let mut whitened = left.to_vec();
        self.factored.divide(&mut whitened);
        let entry = |column: usize| dot(problem.columns.column(column), &whitened);
        let gradient: Vec<f64> = (0..self.rank()).map(entry).collect();
        solve_upper(&self.upper, &solve_transposed(&self.upper, &gradient))
    }

    /// The diagonal of `P`, by run.
    pub fn projection_diagonal(&self) -> Vec<f64> {
        let mut diagonal = self.inverse_diagonal.clone();
        for column in 0..self.rank() {
            for (value, entry) in diagonal.iter_mut().zip(self.weighted.column(column)) {
                *value -= entry * entry;
            }
        }
        diagonal
    }

    /// `R c`: coefficients on the scale on which they are independent with variance 1.
    pub fn scaled(&self, coefficients: &[f64]) -> Vec<f64> {
        self.upper.combined(coefficients, coefficients.len())
    }
}

/// `X R⁻¹`, in place.
fn divide(columns: &mut Matrix, upper: &Matrix, rank: usize) {
    for column in 0..rank {
        for before in 0..column {
            let (known, target) = columns.column_and_later(before, column);
            subtract(target, upper.get(before, column), known);
        }
        let corner = upper.get(column, column);
        for value in columns.column_mut(column) {
            *value /= corner;
        }
    }
}
