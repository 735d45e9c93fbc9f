//! Whether runs that were made one after the other are more alike than their settings explain.
//!
//! In: a fitted model and its runs in run order. Out: [`Neighbours`].
//! This module never reads a date, and never changes a fit.
//!
//! With `P` the projection of the fit and `A` the weights of two runs by their distance in order, `q = yᵀPAPy / yᵀPy` is
//! compared with its first three moments where scatter is independent.
//! Residuals of a fit are a little opposite to one another, the more so the more terms there are; the moments know that.
//!
//! # Source
//! Durbin and Watson, Biometrika 37 (1950), 409-428 (moments of such ratios);
//! King, Journal of Econometrics 27 (1985), 21-37 (weights that look beyond the next run).

use super::covariance::Covariance;
use crate::distributions::{chi_squared_upper, erfc};
use crate::regression::algebra::{Matrix, dot, unit};
use crate::regression::asked::{FitData, ValidModel};
use crate::regression::model::FittedModel;

/// Most runs for which neighbours are tested and a connected refit is made: its work grows with their third power.
pub const MOST_CONNECTED: usize = 400;
/// Weight of runs two apart against that of neighbours; each step further counts so much less again.
const FADES: f64 = 0.3;
/// Chance by which the test asks for a connected refit where scatter is independent.
const LEVEL: f64 = 0.05;
/// Skewness below which a distribution counts as normal.
const SYMMETRIC: f64 = 1e-3;

/// What the test of neighbouring runs says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Neighbours {
    /// How far neighbours are more alike than independent ones, in standard deviations.
    pub alike: f64,
    /// Chance of being at least so alike where scatter is independent.
    pub p: f64,
    /// Whether it asks for a connected refit: `p` lies below 5 %.
    pub ask: bool,
}

/// Tests whether runs near one another in order are alike beyond what the fit explains, blocks and shared errors included.
///
/// One-sided: runs that are opposite to their neighbours make no slow factor too firm.
/// None above [`MOST_CONNECTED`] runs, below four residual degrees of freedom, and of a perfect fit.
///
/// # Assumes
/// `model` is the fit of `valid` to `data`, whose runs stand in run order; its variances count as known.
pub fn neighbours(valid: &ValidModel, model: &FittedModel, data: &FitData) -> Option<Neighbours> {
    /// Below so many degrees of freedom a third moment says little.
    const FEWEST: usize = 4;
    if data.runs.len() > MOST_CONNECTED || model.residual_df < FEWEST {
        return None;
    }
    let on_scale = valid.params().scale.data(data);
    let covariance = Covariance::of(model, &on_scale)?;
    let problem = covariance.problem();
    let found = problem.evaluate(&covariance.at, &covariance.variances)?;
    let runs = data.runs.len();
    let inverse = |run: usize| {
        let mut column = unit(runs, run);
        found.factored.divide(&mut column);
        for term in 0..found.rank() {
            let weights = found.weighted.column(term);
            for (entry, weight) in column.iter_mut().zip(weights) {
                *entry -= weight * weights[run];
            }
        }
        column
    };
    let projection: Vec<Vec<f64>> = (0..runs).map(inverse).collect();
    let projected = &found.projected;
    let left = problem.residuals(&found.coefficients);
    let ratio = dot(projected, &weighed(projected)) / dot(&left, projected);
    let chance = Moments::of(&projection, model.residual_df as f64).upper(ratio)?;
    Some(chance)
}

/// `A x`, with `A_ij = FADES^(|i − j| − 1)` for two different runs, else 0.
fn weighed(vector: &[f64]) -> Vec<f64> {
    let mut sums = vec![0.0; vector.len()];
    let mut add = |order: &mut dyn Iterator<Item = usize>| {
        let mut behind = 0.0;
        for run in order {
            sums[run] += behind;
            behind = FADES * behind + vector[run];
        }
    };
    add(&mut (0..vector.len()));
    add(&mut (0..vector.len()).rev());
    sums
}

/// Mean, standard deviation and skewness of the ratio where scatter is independent.
struct Moments {
    mean: f64,
    sd: f64,
    skewness: f64,
}

impl Moments {
    /// From the columns of `P`, of which so many directions are left by the terms.
    fn of(projection: &[Vec<f64>], left: f64) -> Self {
        let size = projection.len();
        // A P by column: its powers have the traces of those of P A.
        let columns: Vec<Vec<f64>> = projection.iter().map(|column| weighed(column)).collect();
        let rows: Vec<Vec<f64>> = (0..size)
            .map(|row| columns.iter().map(|column| column[row]).collect())
            .collect();
        let square = Matrix::of(size, size, |row, column| dot(&rows[row], &columns[column]));
        let trace: f64 = (0..size).map(|at| columns[at][at]).sum();
        let of_square: f64 = (0..size).map(|at| square.get(at, at)).sum();
        let of_cube: f64 = (0..size).map(|at| dot(square.column(at), &rows[at])).sum();
        let mean = trace / left;
        // Moments about the mean, of a ratio whose divisor has the length of a vector of `left` directions.
        let second = of_square - left * mean * mean;
        let third = of_cube - 3.0 * mean * of_square + 2.0 * left * mean.powi(3);
        let sd = (2.0 * second / (left * (left + 2.0))).sqrt();
        let cube = 8.0 * third / (left * (left + 2.0) * (left + 4.0));
        Self {
            mean,
            sd,
            skewness: cube / sd.powi(3),
        }
    }

    /// What the chance of at least this ratio says: that of a chi-squared with the same three moments.
    fn upper(&self, ratio: f64) -> Option<Neighbours> {
        let alike = (ratio - self.mean) / self.sd;
        let p = if self.skewness.abs() < SYMMETRIC {
            Some(erfc(alike / std::f64::consts::SQRT_2) / 2.0)
        } else {
            let degrees = 8.0 / (self.skewness * self.skewness);
            let along = alike * self.skewness.signum();
            let squares = (degrees + along * (2.0 * degrees).sqrt()).max(0.0);
            let upper = chi_squared_upper(squares, degrees);
            upper.map(|p| if self.skewness > 0.0 { p } else { 1.0 - p })
        };
        let p = p.filter(|p| p.is_finite())?;
        alike.is_finite().then_some(Neighbours {
            alike,
            p,
            ask: p < LEVEL,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_of_three_runs_about_their_mean_are_those_worked_out_by_hand() {
        let about_mean = |column: usize| {
            let entry = |row: usize| f64::from(u8::from(row == column)) - 1.0 / 3.0;
            (0..3).map(entry).collect()
        };
        let projection: Vec<Vec<f64>> = (0..3).map(about_mean).collect();
        let found = Moments::of(&projection, 2.0);
        // A = [0 1 .3; 1 0 1; .3 1 0]: 1ᵀA1 = 4.6, tr A² = 4.18, 1ᵀA²1 = 7.38.
        let mean = -4.6 / 3.0 / 2.0;
        let second = 4.18 - 2.0 * 7.38 / 3.0 + 4.6 * 4.6 / 9.0 - 2.0 * mean * mean;
        assert!((found.mean - mean).abs() < 1e-14);
        assert!((found.sd - (second / 4.0).sqrt()).abs() < 1e-14);
        // Two directions are left, and about the mean their two values are opposite: no third moment.
        assert!(found.skewness.abs() < 1e-12, "{}", found.skewness);
    }
}
