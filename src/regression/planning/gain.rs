//! The gain of one more run.
//!
//! In: what is known, and the row of a run. Out: [`State`], which takes runs in and says what each would be worth.
//! This module never chooses a run.
//!
//! With `w` the row of a run in terms and shared errors, `A` their covariance and `q = wᵀAw`, the covariance after the run
//! is `A − Aw wᵀA / (1 + q)`.
//!
//! # Source
//! Fedorov, Theory of Optimal Experiments, 1972, 3.1; Sherman and Morrison, Ann. Math. Stat. 21 (1950) 124-127.

use super::information::Knowledge;
use crate::regression::algebra::{Matrix, dot};

/// Share of what a run tells that the others must tell as well, for it to be taken out without loss of digits.
const LEAST_LEFT: f64 = 0.1;

/// What a set of runs should make small, in terms of the coded coefficients.
#[derive(Debug, Clone)]
pub(super) enum Measure {
    /// The volume of the joint confidence region of all terms.
    Volume,
    /// A sum of variances, each weighted: `Σ wᵢ cᵢᵀ A cᵢ`.
    Sum(Vec<Direction>),
    /// The mean of `xᵀ A x` over the space, from `B`, the mean of `x xᵀ`.
    Mean(Matrix),
}

/// A combination of coded coefficients and how much its variance counts.
#[derive(Debug, Clone)]
pub(super) struct Direction {
    pub weight: f64,
    pub combination: Vec<f64>,
}

/// What is known after some runs.
#[derive(Debug, Clone)]
pub(super) struct State {
    knowledge: Knowledge,
    /// `A w` of the run asked about last.
    moved: Vec<f64>,
}

impl State {
    pub fn new(knowledge: &Knowledge) -> Self {
        Self {
            moved: vec![0.0; knowledge.terms + knowledge.errors],
            knowledge: knowledge.clone(),
        }
    }

    /// What is known.
    pub fn knowledge(&self) -> &Knowledge {
        &self.knowledge
    }

    /// Sets what is known back to that.
    pub fn reset(&mut self, knowledge: &Knowledge) {
        self.knowledge.clone_from(knowledge);
    }

    /// Takes in a run.
    pub fn add(&mut self, row: &[f64]) {
        let spread = 1.0 + self.ask(row);
        downdate(&mut self.knowledge.covariance, &self.moved, spread);
        let errors = &row[self.knowledge.terms..];
        if errors.iter().any(|size| *size != 0.0) {
            let mut moved = vec![0.0; errors.len()];
            let spread = 1.0 + applied(&self.knowledge.errors_alone, errors, &mut moved);
            downdate(&mut self.knowledge.errors_alone, &moved, spread);
        }
    }

    /// Takes out a run that was taken in; whether it could: what a run almost alone tells cannot be taken out exactly.
    pub fn take_out(&mut self, row: &[f64]) -> bool {
        let left = 1.0 - self.ask(row);
        let errors = &row[self.knowledge.terms..];
        let mut moved = vec![0.0; errors.len()];
        let left_alone = 1.0 - applied(&self.knowledge.errors_alone, errors, &mut moved);
        if left < LEAST_LEFT || left_alone < LEAST_LEFT {
            return false;
        }
        downdate(&mut self.knowledge.covariance, &self.moved, -left);
        downdate(&mut self.knowledge.errors_alone, &moved, -left_alone);
        true
    }

    /// By how much a run makes the measure smaller: the logarithm of the volume, or the sum itself.
    pub fn gain(&mut self, row: &[f64], measure: &Measure) -> f64 {
        let variance = self.ask(row);
        let moved = &self.moved[..self.knowledge.terms];
        match measure {
            Measure::Volume => {
                // ln det of the terms alone: that of terms and errors less that of the errors if the terms were known.
                let errors = &row[self.knowledge.terms..];
                let alone = quadratic(&self.knowledge.errors_alone, errors);
                variance.ln_1p() - alone.ln_1p()
            }
            Measure::Sum(directions) => {
                let sum: f64 = directions
                    .iter()
                    .map(|direction| direction.weight * dot(&direction.combination, moved).powi(2))
                    .sum();
                sum / (1.0 + variance)
            }
            Measure::Mean(mean) => quadratic(mean, moved) / (1.0 + variance),
        }
    }

    /// The variance of a combination of terms.
    pub fn variance(&self, combination: &[f64]) -> f64 {
        quadratic(&self.knowledge.covariance, combination)
    }

    /// `wᵀAw`, with `A w` kept.
    fn ask(&mut self, row: &[f64]) -> f64 {
        let mut moved = std::mem::take(&mut self.moved);
        let variance = applied(&self.knowledge.covariance, row, &mut moved);
        self.moved = moved;
        variance
    }
}

/// `A w` into `moved`, and `wᵀ A w`.
fn applied(matrix: &Matrix, row: &[f64], moved: &mut [f64]) -> f64 {
    moved.fill(0.0);
    for (column, &entry) in row.iter().enumerate() {
        if entry != 0.0 {
            for (sum, value) in moved.iter_mut().zip(matrix.column(column)) {
                *sum += entry * value;
            }
        }
    }
    dot(row, moved).max(0.0)
}

/// `wᵀ A w` of the leading part of the size of `w`.
fn quadratic(matrix: &Matrix, row: &[f64]) -> f64 {
    let mut sum = 0.0;
    for (column, &entry) in row.iter().enumerate() {
        if entry != 0.0 {
            sum += entry * dot(&matrix.column(column)[..row.len()], row);
        }
    }
    sum.max(0.0)
}

fn downdate(matrix: &mut Matrix, moved: &[f64], spread: f64) {
    for (column, &share) in moved.iter().enumerate() {
        let share = share / spread;
        if share != 0.0 {
            for (value, part) in matrix.column_mut(column).iter_mut().zip(moved) {
                *value -= share * part;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rounding of a dozen operations on numbers of size 10.
    const ROUNDING: f64 = 1e-13;

    /// Two terms and one shared error, nothing in common yet.
    fn knowledge(variances: [f64; 3]) -> Knowledge {
        let mut covariance = Matrix::zeros(3, 3);
        for (place, variance) in variances.into_iter().enumerate() {
            covariance.set(place, place, variance);
        }
        let mut errors_alone = Matrix::zeros(1, 1);
        errors_alone.set(0, 0, variances[2]);
        Knowledge {
            terms: 2,
            errors: 1,
            covariance,
            errors_alone,
        }
    }

    #[test]
    fn a_run_that_is_taken_out_is_as_if_it_had_never_been_taken_in() {
        let mut state = State::new(&knowledge([4.0, 1.0, 1.0]));
        state.add(&[1.0, -1.0, 0.5]);
        state.add(&[1.0, 0.0, 0.0]);
        assert!(state.take_out(&[1.0, -1.0, 0.5]));
        // By hand: with w = (1, 0, 0) and q = 4 the first variance is 4 − 16/5, and the others stay.
        for (place, expected) in [0.8, 1.0, 1.0].into_iter().enumerate() {
            for other in 0..3 {
                let expected = if other == place { expected } else { 0.0 };
                let found = state.knowledge().covariance.get(place, other);
                assert!(
                    (found - expected).abs() < ROUNDING,
                    "{place} {other}: {found}"
                );
            }
        }
        assert!((state.knowledge().errors_alone.get(0, 0) - 1.0).abs() < ROUNDING);
    }

    #[test]
    fn a_run_that_alone_tells_a_term_is_left_in() {
        let mut state = State::new(&knowledge([1e6, 1.0, 1.0]));
        state.add(&[1.0, 0.0, 0.0]);
        let before = state.knowledge().covariance.get(0, 0);
        assert!(!state.take_out(&[1.0, 0.0, 0.0]));
        assert_eq!(state.knowledge().covariance.get(0, 0), before);
    }
}
