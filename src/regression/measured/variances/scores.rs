//! Which variances solve the score equations?
//!
//! In: a [`Problem`], the known errors, first variances and a lowest value. Out: [`Solved`].
//! This module never compares likelihoods: it looks for where their slopes are zero, which can be told to the last digits.
//!
//! A variance whose score at the lowest value is not above zero stays there; it is estimated as zero.

use super::evaluation::{Evaluation, Problem};
use crate::distributions::turning_point;
use crate::regression::algebra::{Matrix, cholesky};
use crate::regression::measured::covariance::At;

/// Steps after which scoring gives way to bisection; it needs five to thirty.
const SCORINGS: usize = 80;
/// Halvings of one step before it is given up.
const HALVINGS: usize = 12;
/// Rounds of bisection over all variances; each variance pulls the others along.
const SWEEPS: usize = 60;
/// A step of this share of a variance, no longer shrinking, is rounding of the scores.
const ROUNDING: f64 = 1e-9;

/// Variances that solve the score equations, with what follows from them.
pub(crate) struct Solved<'a> {
    pub variances: Vec<f64>,
    pub evaluation: Evaluation<'a>,
    /// Whether each variance stays at the lowest value.
    pub at_bound: Vec<bool>,
    /// Size of the last step, relative; above the tolerance only if neither way settled.
    pub last_step: f64,
}

/// A point on the way.
struct Point<'a> {
    variances: Vec<f64>,
    evaluation: Evaluation<'a>,
    at_bound: Vec<bool>,
    step: Vec<f64>,
    /// Squared length of the step in standard deviations of the variances.
    merit: f64,
}

/// Solves the score equations until a step is below `tolerance`, relative.
///
/// Scoring with the average information, each step halved until the next one is shorter; where that fails, bisection of
/// each score in turn. None if the first variances give no finite numbers.
pub(crate) fn solve<'a>(
    problem: &Problem<'a>,
    at: &At,
    start: &[f64],
    lowest: f64,
    tolerance: f64,
) -> Option<Solved<'a>> {
    let mut point = look(problem, at, start.to_vec(), lowest)?;
    for _ in 0..SCORINGS {
        let size = relative(&point);
        if size <= tolerance {
            return Some(finished(point, size));
        }
        match next(problem, at, &point, lowest) {
            Some(better) => point = better,
            None if size <= ROUNDING => return Some(finished(point, tolerance.min(size))),
            None => break,
        }
    }
    bisected(problem, at, point.variances, lowest, tolerance)
}

/// Bisection of each score in turn.
pub(crate) fn bisected<'a>(
    problem: &Problem<'a>,
    at: &At,
    mut variances: Vec<f64>,
    lowest: f64,
    tolerance: f64,
) -> Option<Solved<'a>> {
    let mut largest = f64::INFINITY;
    for _ in 0..SWEEPS {
        largest = 0.0;
        for position in 0..variances.len() {
            let found = root(problem, at, &variances, position, lowest)?;
            largest = f64::max(largest, (found / variances[position] - 1.0).abs());
            variances[position] = found;
        }
        if largest <= tolerance {
            break;
        }
    }
    let point = look(problem, at, variances, lowest)?;
    Some(finished(point, largest))
}

/// Where the score of one variance is zero while the others stay; the lowest value if it is not above zero there.
fn root(
    problem: &Problem,
    at: &At,
    variances: &[f64],
    position: usize,
    lowest: f64,
) -> Option<f64> {
    let above = |value: f64| {
        let mut moved = variances.to_vec();
        moved[position] = value;
        let found = problem.evaluate(at, &moved)?;
        Some(found.scores[position] > 0.0)
    };
    if !above(lowest)? {
        return Some(lowest);
    }
    let (mut low, mut high) = (lowest, variances[position].max(2.0 * lowest));
    while above(high)? {
        low = high;
        high *= 4.0;
    }
    turning_point(low, high, above)
}

fn finished(point: Point, last_step: f64) -> Solved {
    Solved {
        variances: point.variances,
        evaluation: point.evaluation,
        at_bound: point.at_bound,
        last_step,
    }
}

/// The next point: along the step, or along its half, quarter, ..., until the step after it is shorter.
fn next<'a>(problem: &Problem<'a>, at: &At, point: &Point, lowest: f64) -> Option<Point<'a>> {
    let mut share = 1.0;
    for _ in 0..HALVINGS {
        let moved: Vec<f64> = point
            .variances
            .iter()
            .zip(&point.step)
            .map(|(variance, step)| (variance + share * step).max(lowest))
            .collect();
        if let Some(found) = look(problem, at, moved, lowest)
            && found.merit < point.merit
        {
            return Some(found);
        }
        share /= 2.0;
    }
    None
}

fn look<'a>(problem: &Problem<'a>, at: &At, variances: Vec<f64>, lowest: f64) -> Option<Point<'a>> {
    let evaluation = problem.evaluate(at, &variances)?;
    let at_bound: Vec<bool> = variances
        .iter()
        .zip(&evaluation.scores)
        .map(|(&variance, &score)| variance <= lowest && score <= 0.0)
        .collect();
    let free: Vec<usize> = (0..variances.len()).filter(|&i| !at_bound[i]).collect();
    let mut information = Matrix::zeros(free.len(), free.len());
    for (row, &one) in free.iter().enumerate() {
        for (column, &other) in free.iter().enumerate() {
            information.set(row, column, evaluation.information.get(one, other));
        }
    }
    let scores: Vec<f64> = free.iter().map(|&i| evaluation.scores[i]).collect();
    let found = cholesky::solve(&information, &scores)?;
    let mut step = vec![0.0; variances.len()];
    for (&position, &part) in free.iter().zip(&found) {
        step[position] = part;
    }
    let merit = scores.iter().zip(&found).map(|(a, b)| a * b).sum();
    Some(Point {
        variances,
        evaluation,
        at_bound,
        step,
        merit,
    })
}

/// The largest step, each against its variance or, for a variance near zero, against its standard error.
fn relative(point: &Point) -> f64 {
    let parts = point.step.iter().zip(&point.variances).enumerate();
    parts
        .map(|(position, (step, variance))| {
            let information = point.evaluation.information.get(position, position);
            let error = if information > 0.0 {
                1.0 / information.sqrt()
            } else {
                0.0
            };
            step.abs() / variance.max(error)
        })
        .fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regression::asked::{Measurement, OwnError};
    use crate::regression::measured::covariance::Shape;
    use crate::regression::tests::testing::choice;

    /// Relative: bisection ends when no variance moves by more than the tolerance in one round over all of them.
    const SAME: f64 = 1e-10;

    #[test]
    fn scoring_and_bisection_find_the_same_variances() {
        let lots: Vec<&str> = (0..18)
            .map(|run| ["A", "B", "C", "D", "E"][run * run % 5])
            .collect();
        let lot = choice("lot", &["A", "B", "C", "D", "E"], &lots);
        let own = (0..18).map(|run| OwnError {
            relative: 0.0,
            absolute: 0.1 * (run % 3) as f64,
        });
        let measurement = Measurement {
            shared: Vec::new(),
            own: own.collect(),
        };
        let shape = Shape::new(&measurement, 18, &[&lot]);
        let mut columns = Matrix::zeros(18, 1);
        columns.column_mut(0).fill(1.0);
        let spread = |run: usize| ((run * 7) % 11) as f64 / 10.0 + lot.codes()[run] as f64;
        let problem = Problem {
            columns,
            rank: 1,
            response: (0..18).map(spread).collect(),
            shape: &shape,
        };
        let at = shape.at(&[0.0; 18]);
        let scored = solve(&problem, &at, &[1.0, 1.0], 1e-10, 1e-12).unwrap();
        let halved = bisected(&problem, &at, vec![1.0, 1.0], 1e-10, 1e-12).unwrap();
        assert!(scored.last_step <= 1e-12 && scored.at_bound == [false, false]);
        for (a, b) in scored.variances.iter().zip(&halved.variances) {
            assert!((a / b - 1.0).abs() < SAME, "{a} {b}");
        }
        // The scores there are rounding of sums of two or three dozens.
        assert!(
            scored
                .evaluation
                .scores
                .iter()
                .all(|score| score.abs() < 1e-9)
        );
    }
}
