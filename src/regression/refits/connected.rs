//! A refit whose errors are connected along the order of the runs.
//!
//! In: a checked model, its fit and the runs in run order. Out: [`FittedModel`] where the test of neighbours asks for it.
//! This module never fits more runs than `MOST_CONNECTED`, and never reads a date.
//!
//! The covariance of the fit gains a part `σ_a² R(ρ)`, `R_ij = ρ^|i − j|`. All variances and `ρ` are those of highest
//! restricted likelihood; standard errors and degrees of freedom count that every one of them is estimated.
//!
//! # Source
//! Kenward and Roger, Biometrics 53 (1997) 983-997, without the second derivative by `ρ`.

use twofloat::TwoFloat;

use super::chain::{Chain, Parts};
use super::covariance::Covariance;
use super::neighbours::neighbours;
use crate::error::Faults;
use crate::regression::algebra::{Matrix, cholesky, dot, solve_transposed, solve_upper, unit};
use crate::regression::asked::{FitData, ValidModel};
use crate::regression::design::Runs;
use crate::regression::estimable::Ghosts;
use crate::regression::measured::variances::Problem;
use crate::regression::measured::{
    self, Closeness, Component, Found, MeasuredErrors, NewRunVariances, SmallSample, tested,
};
use crate::regression::model::FittedModel;
use crate::regression::plain::{Residuals, Solution, out_of_range, total_squares};

/// The fit that lets neighbouring runs be alike; None where [`neighbours`] does not ask for it.
///
/// Use it as a sensitivity: it answers as any other fit, and only sign and firmness are to be read.
///
/// # Assumes
/// `model` is the fit of `valid` to `data`, whose runs stand in run order, one step apart.
/// # Errors
/// Those of [`ValidModel::fit`].
pub fn connected(
    valid: &ValidModel,
    model: &FittedModel,
    data: &FitData,
) -> Result<Option<FittedModel>, Faults> {
    if !neighbours(valid, model, data).is_some_and(|found| found.ask) {
        return Ok(None);
    }
    let on_scale = valid.params().scale.data(data);
    let Some(covariance) = Covariance::of(model, &on_scale) else {
        return Ok(None);
    };
    let problem = covariance.problem();
    let chain = Chain {
        known: covariance.known(),
        problem: &problem,
        // Connected errors are looked for beside scatter that is alike at all levels.
        variances: &covariance.even_variances(),
    };
    let refitted = valid.fit_by(data, Closeness::FOR_DECISIONS, |runs, plain, _, ghosts| {
        let fitted = chain.highest().and_then(|parts| Fit::of(&chain, parts));
        fitted
            .and_then(|fitted| fitted.found(runs, plain, ghosts))
            .ok_or_else(out_of_range)
    });
    refitted.map(Some)
}

/// What follows from the parts of the scatter.
struct Fit<'p> {
    problem: &'p Problem<'p>,
    parts: Parts,
    /// `R` of the whitened columns.
    upper: Matrix,
    coefficients: Vec<f64>,
    /// `V⁻¹ X R⁻¹`.
    weighted: Matrix,
    /// `V⁻¹`, by column.
    inverse: Vec<Vec<f64>>,
    /// For each part the derivative of the covariance of `R β`.
    slopes: Vec<Matrix>,
    /// Covariance of the parts.
    errors: Matrix,
    /// Covariance of `R β`, widened for what is not known of the parts.
    adjusted: Matrix,
}

impl<'p> Fit<'p> {
    /// None if the runs cannot tell the parts from one another.
    fn of(chain: &Chain<'p>, parts: Parts) -> Option<Self> {
        let problem = chain.problem;
        let (runs, rank) = (problem.response.len(), problem.rank);
        let (root, upper) = chain.whitened(&parts)?;
        let inverse = |run: usize| solve_upper(&root, &solve_transposed(&root, &unit(runs, run)));
        let inverse: Vec<Vec<f64>> = (0..runs).map(inverse).collect();
        let times = |columns: &[Vec<f64>], vector: &[f64]| -> Vec<f64> {
            columns.iter().map(|column| dot(column, vector)).collect()
        };
        let of_term = |term: usize| {
            let share = solve_upper(&upper, &unit(rank, term));
            times(&inverse, &problem.columns.combined(&share, runs))
        };
        let weighted: Vec<Vec<f64>> = (0..rank).map(of_term).collect();
        let projection = Matrix::of(runs, runs, |row, column| {
            let taken = weighted.iter().map(|term| term[row] * term[column]);
            inverse[column][row] - taken.sum::<f64>()
        });
        let derivatives = chain.derivatives(&parts);
        let products: Vec<Matrix> = derivatives
            .iter()
            .map(|by| Matrix::of(runs, runs, |i, j| dot(projection.column(i), by.column(j))))
            .collect();
        // P V_i by column; the trace of two products needs one of them by row.
        let by_row: Vec<Matrix> = products
            .iter()
            .map(|product| Matrix::of(runs, runs, |i, j| product.get(j, i)))
            .collect();
        let count = derivatives.len();
        let information = Matrix::of(count, count, |one, other| {
            let traces =
                (0..runs).map(|run| dot(by_row[one].column(run), products[other].column(run)));
            traces.sum::<f64>() / 2.0
        });
        let errors = cholesky::inverse(&information, count)?;
        let turned: Vec<Vec<Vec<f64>>> = derivatives
            .iter()
            .map(|by| {
                let along =
                    |term: &Vec<f64>| (0..runs).map(|run| dot(by.column(run), term)).collect();
                weighted.iter().map(along).collect()
            })
            .collect();
        let slopes = turned
            .iter()
            .map(|turned| Matrix::of(rank, rank, |one, other| dot(&weighted[one], &turned[other])));
        let projected: Vec<Vec<Vec<f64>>> = turned
            .iter()
            .map(|turned| {
                let along = |term: &Vec<f64>| {
                    (0..runs)
                        .map(|run| dot(projection.column(run), term))
                        .collect()
                };
                turned.iter().map(along).collect()
            })
            .collect();
        let adjusted = Matrix::of(rank, rank, |row, column| {
            let mut sum = f64::from(u8::from(row == column));
            for (one, turned) in turned.iter().enumerate() {
                for (other, projected) in projected.iter().enumerate() {
                    let both = dot(&turned[row], &projected[column]);
                    sum += 2.0 * errors.get(one, other) * both;
                }
            }
            sum
        });
        Some(Self {
            slopes: slopes.collect(),
            coefficients: solve_upper(&upper, &upper.column(rank)[..rank]),
            weighted: Matrix::of_columns(&weighted),
            problem,
            parts,
            upper,
            inverse,
            errors,
            adjusted,
        })
    }

    /// The same as any fit gives it.
    fn found(self, runs: &Runs, plain: &Solution, ghosts: &Ghosts) -> Option<Found> {
        let residuals = self.residuals(runs)?;
        let independent = &plain.basis.independent;
        let mut coefficients = vec![TwoFloat::from(0.0); runs.columns()];
        for (&column, &value) in independent.iter().zip(&self.coefficients) {
            coefficients[column] = TwoFloat::from(value);
        }
        if let Some(constant) = runs.design.constant_column() {
            coefficients[constant] += runs.shift;
        }
        let scaled = self.upper.combined(&self.coefficients, self.problem.rank);
        let shape = self.problem.shape;
        let own = self.parts.variances[0] + self.parts.connected;
        let scatter = NewRunVariances {
            run_to_run: vec![own],
            of_runs: Vec::new(),
            by_level: None,
            blocks: self.parts.variances[1..].to_vec(),
            measurement: shape.mean_variances(),
        };
        let mut of_new_run = vec![1.0; self.parts.variances.len() + 1];
        // The connection scatters nothing by itself.
        of_new_run.push(0.0);
        let parts = measured::Parts {
            columns: independent.clone(),
            upper: self.upper,
            slopes: self.slopes,
            errors: self.errors,
            adjusted: self.adjusted,
            weighted: self.weighted,
            of_new_run,
        };
        let sample = SmallSample::from_parts(parts, runs.len());
        let known = &ghosts.found;
        let closeness = Closeness::FOR_DECISIONS;
        let errors = MeasuredErrors { sample, scatter };
        let mut found = tested(runs, plain, known, errors, &scaled, residuals, closeness);
        found.coefficients = coefficients;
        found.components = vec![Component {
            of: measured::ScatterOf::RunToRun,
            sd: own.sqrt() * shape.scale.typical_slope(&found.residuals.fitted),
            interval: None,
        }];
        Some(found)
    }

    /// Fitted values, residuals and leverages as those of a measured fit; None if a sum of squares is not finite.
    fn residuals(&self, runs: &Runs) -> Option<Residuals> {
        let left = self.problem.residuals(&self.coefficients);
        let mut found = Residuals {
            total_squares: total_squares(runs),
            residual_squares: dot(&left, &left),
            ..Residuals::default()
        };
        let rows = self.inverse.iter().enumerate();
        for (run, inverse) in rows {
            let terms: Vec<f64> = (0..self.problem.rank)
                .map(|term| self.weighted.get(run, term))
                .collect();
            let row: Vec<f64> = (0..self.problem.rank)
                .map(|term| self.problem.columns.get(run, term))
                .collect();
            let projected = inverse[run] - dot(&terms, &terms);
            let own = dot(&solve_transposed(&self.upper, &row), &terms);
            let alone = dot(inverse, &left);
            found.fitted.push(runs.data.response[run] - left[run]);
            found
                .leverages
                .push((1.0 - projected / inverse[run]).clamp(0.0, 1.0));
            found.left_out.push(left[run] + alone / projected * own);
        }
        let squares = dot(&found.left_out, &found.left_out);
        found.left_out_squares = Some(squares).filter(|sum| sum.is_finite());
        found.residuals = left;
        found.residual_squares.is_finite().then_some(found)
    }
}
