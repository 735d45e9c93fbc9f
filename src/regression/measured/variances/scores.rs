//! The variances that solve the score equations of the restricted likelihood.
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

/// The score equations for known errors and variances of at least a lowest value.
pub(crate) struct Scores<'s, 'a> {
    pub problem: &'s Problem<'a>,
    pub at: &'s At,
    pub lowest: f64,
}

/// Variances that solve the score equations, or a point on the way, with what follows from them.
pub(crate) struct Solved<'a> {
    pub variances: Vec<f64>,
    pub evaluation: Evaluation<'a>,
    /// Whether each variance stays at the lowest value.
    pub at_bound: Vec<bool>,
    /// Size of the last step, relative; above the tolerance only if neither way settled.
    pub last_step: f64,
    /// The step that scoring takes from here.
    step: Vec<f64>,
    /// Squared length of that step in standard deviations of the variances.
    merit: f64,
}

impl<'a> Scores<'_, 'a> {
    /// Solves the score equations until a step is below `tolerance`, relative.
    ///
    /// Scoring with the average information, each step halved until the next one is shorter; where that fails, bisection of
    /// each score in turn. None if the first variances give no finite numbers.
    pub fn solve(&self, start: &[f64], tolerance: f64) -> Option<Solved<'a>> {
        let mut point = self.look(start.to_vec())?;
        for _ in 0..SCORINGS {
            if point.last_step <= tolerance {
                return Some(point);
            }
            match self.next(&point) {
                Some(better) => point = better,
                None if point.last_step <= ROUNDING => {
                    point.last_step = tolerance.min(point.last_step);
                    return Some(point);
                }
                None => break,
            }
        }
        self.bisected(point.variances, tolerance)
    }

    /// Bisection of each score in turn.
    fn bisected(&self, mut variances: Vec<f64>, tolerance: f64) -> Option<Solved<'a>> {
        let mut largest = f64::INFINITY;
        for _ in 0..SWEEPS {
            largest = 0.0;
            for position in 0..variances.len() {
                let found = self.root(&variances, position)?;
                largest = f64::max(largest, (found / variances[position] - 1.0).abs());
                variances[position] = found;
            }
            if largest <= tolerance {
                break;
            }
        }
        Some(Solved {
            last_step: largest,
            ..self.look(variances)?
        })
    }

    /// Where the score of one variance is zero while the others stay; the lowest value if it is not above zero there.
    fn root(&self, variances: &[f64], position: usize) -> Option<f64> {
        let above = |value: f64| {
            let mut moved = variances.to_vec();
            moved[position] = value;
            let found = self.problem.evaluate(self.at, &moved)?;
            Some(found.scores[position] > 0.0)
        };
        if !above(self.lowest)? {
            return Some(self.lowest);
        }
        let (mut low, mut high) = (self.lowest, variances[position].max(2.0 * self.lowest));
        while above(high)? {
            low = high;
            high *= 4.0;
        }
        turning_point(low, high, above)
    }

    /// The next point: along the step, or along its half, quarter, ..., until the step after it is shorter.
    fn next(&self, point: &Solved) -> Option<Solved<'a>> {
        let mut share = 1.0;
        for _ in 0..HALVINGS {
            let steps = point.variances.iter().zip(&point.step);
            let moved = steps.map(|(variance, step)| (variance + share * step).max(self.lowest));
            let found = self.look(moved.collect());
            if let Some(better) = found.filter(|found| found.merit < point.merit) {
                return Some(better);
            }
            share /= 2.0;
        }
        None
    }

    fn look(&self, variances: Vec<f64>) -> Option<Solved<'a>> {
        let evaluation = self.problem.evaluate(self.at, &variances)?;
        let scores = variances.iter().zip(&evaluation.scores);
        let bound = |(&variance, &score): (&f64, &f64)| variance <= self.lowest && score <= 0.0;
        let at_bound: Vec<bool> = scores.map(bound).collect();
        let free = (0..variances.len()).filter(|&i| !at_bound[i]);
        // Runs that are fitted to the last digit leave nothing that would tell how far to go: their variance is nothing.
        let is_told = |position: &usize| evaluation.information.get(*position, *position) > 0.0;
        let (free, to_nothing): (Vec<usize>, Vec<usize>) = free.partition(is_told);
        let information =
            Matrix::of_pairs(&free, |&one, &other| evaluation.information.get(one, other));
        let scores: Vec<f64> = free.iter().map(|&i| evaluation.scores[i]).collect();
        let found = cholesky::solve(&information, &scores)?;
        let mut step = vec![0.0; variances.len()];
        for (&position, &part) in free.iter().zip(&found) {
            step[position] = part;
        }
        for position in to_nothing {
            step[position] = self.lowest - variances[position];
        }
        let scored = evaluation.scores.iter().zip(&step);
        Some(Solved {
            last_step: relative(&step, &variances, &evaluation.information),
            merit: scored.map(|(score, step)| score * step).sum(),
            variances,
            evaluation,
            at_bound,
            step,
        })
    }
}

/// The largest step, each against its variance or, for a variance near zero, against its standard error.
fn relative(step: &[f64], variances: &[f64], information: &Matrix) -> f64 {
    let parts = step.iter().zip(variances).enumerate();
    let relative = parts.map(|(position, (step, variance))| {
        let information = information.get(position, position);
        let error = (information > 0.0).then(|| 1.0 / information.sqrt());
        step.abs() / variance.max(error.unwrap_or(0.0))
    });
    relative.fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regression::asked::{Measurement, OwnError, ResponseScale};
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
        let shape = Shape::new(&measurement, 18, &[&lot], ResponseScale::Plain);
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
        let equations = Scores {
            problem: &problem,
            at: &at,
            lowest: 1e-10,
        };
        let scored = equations.solve(&[1.0, 1.0], 1e-12).unwrap();
        let halved = equations.bisected(vec![1.0, 1.0], 1e-12).unwrap();
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
