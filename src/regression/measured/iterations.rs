//! Rounds of fit and errors at fitted values, until both belong to each other.
//!
//! In: a problem, the plain fit to start from, and first variances. Out: [`Settled`].
//! This module never takes an error at an observed value.
//!
//! Fit, errors at the fitted values, fit, ... until the values stay where they are.

use twofloat::TwoFloat;

use super::covariance::At;
use super::variances::{Problem, Scores, Solved};
use crate::regression::algebra::length;
use crate::regression::design::Runs;
use crate::regression::plain::Solution;

/// Rounds of fit and errors at fitted values; each is about a hundred times nearer than the one before.
const ROUNDS: usize = 40;

/// How near a fit goes to where values and errors belong to each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Closeness {
    /// Values are settled when no combination moves by more than this share of its standard error.
    pub settled: f64,
    /// The scores are solved until the variances move by less than this share of themselves.
    pub solved: f64,
    /// Whether more than the tests of effects is looked at: estimates of terms, and of a full fit means and the test of all terms.
    pub estimates: bool,
}

impl Closeness {
    /// As near as the numbers allow, for figures that somebody reads.
    pub const FULL: Closeness = Closeness {
        settled: 1e-10,
        solved: 1e-12,
        estimates: true,
    };
    /// Near enough to see on which side of a level a chance lies: it is known to a few parts in a million.
    pub const FOR_DECISIONS: Closeness = Closeness {
        settled: 1e-5,
        solved: 1e-6,
        estimates: true,
    };
    /// As near as that, for whoever asks the tests of effects alone.
    pub const FOR_TESTS: Closeness = Closeness {
        estimates: false,
        ..Self::FOR_DECISIONS
    };
}

/// While values still move, variances need be no better than this share of that move.
const NO_BETTER: f64 = 1e-3;

/// Variances and values that belong to each other.
pub(crate) struct Settled<'a> {
    pub solved: Solved<'a>,
    /// The last move of the values in standard errors, or of the variances relative, if either did not settle.
    pub unsettled: Option<f64>,
}

/// Repeats the fit until the values settle; None if the numbers leave their range.
pub(crate) fn settle<'a>(
    problem: &Problem<'a>,
    runs: &Runs,
    plain: &Solution,
    fitted: &[f64],
    mut variances: Vec<f64>,
    lowest: f64,
    closeness: Closeness,
) -> Option<Settled<'a>> {
    let once = !problem.shape.depends_on_values();
    let mut coefficients = unshifted(runs, &plain.coefficients, &plain.basis.independent);
    let mut at: At = problem.shape.at(fitted);
    let mut moved = 1.0;
    let mut last = None;
    for _ in 0..ROUNDS {
        let tolerance = if once {
            closeness.solved
        } else {
            (NO_BETTER * moved).clamp(closeness.solved, NO_BETTER)
        };
        let equations = Scores {
            problem,
            at: &at,
            lowest,
        };
        let solved = equations.solve(&variances, tolerance)?;
        let found = &solved.evaluation;
        let steps = found.coefficients.iter().zip(&coefficients);
        let step: Vec<f64> = steps.map(|(new, old)| new - old).collect();
        moved = length(&found.scaled(&step));
        coefficients = found.coefficients.clone();
        variances = solved.variances.clone();
        let exact = tolerance <= closeness.solved;
        let unsolved = (solved.last_step > tolerance).then_some(solved.last_step);
        if exact && (once || moved <= closeness.settled) {
            return Some(Settled {
                solved,
                unsettled: unsolved,
            });
        }
        let left = problem.residuals(&coefficients);
        let values = problem.response.iter().zip(&left);
        let values = values.map(|(response, left)| response - left + runs.shift);
        at = problem.shape.at(&values.collect::<Vec<_>>());
        last = Some(Settled {
            solved,
            unsettled: Some(moved.max(unsolved.unwrap_or(0.0))),
        });
    }
    last
}

/// The coefficients of independent columns for the response without its shift.
pub(crate) fn unshifted(runs: &Runs, coefficients: &[TwoFloat], columns: &[usize]) -> Vec<f64> {
    let constant = runs.design.constant_column();
    let without = |&column: &usize| {
        let shift = constant
            .filter(|&at| at == column)
            .map_or(0.0, |_| runs.shift);
        (coefficients[column] - shift).hi()
    };
    columns.iter().map(without).collect()
}
