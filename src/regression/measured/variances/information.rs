//! How well do these runs tell their variances?
//!
//! In: a [`Problem`] and what follows from its variances. Out: the expected information about the variances.
//! This module never looks at a response.

use super::evaluation::{Evaluation, Problem};
use crate::regression::algebra::{Matrix, dot};

/// Multiplications up to which the expected information is worked out; beyond it there are so many shared errors that the
/// average information, which differs from it by about one part in the root of their number, serves as well.
const MOST_WORK: usize = 400_000_000;

/// `½ tr(P V_i P V_j)`, exactly where that is cheap enough, else the average information.
///
/// # Source
/// Kenward and Roger, Biometrics 53 (1997) 983-997, equation 4.
pub(crate) fn expected(problem: &Problem, found: &Evaluation) -> Matrix {
    let shape = problem.shape;
    let pattern = shape.pattern();
    let levels: usize = (0..shape.blocks())
        .map(|block| shape.level_count(block))
        .sum();
    let of_vector = 2 * (shape.columns().len() + pattern.entries()) + problem.rank * shape.runs();
    let work = levels.saturating_mul(of_vector) + 4 * pattern.size() * pattern.entries();
    if work > MOST_WORK {
        return found.information.clone();
    }
    let count = found.scores.len();
    let mut information = Matrix::zeros(count, count);
    information.set(0, 0, of_runs(found) / 2.0);
    for block in 0..shape.blocks() {
        // Columns of `P Z`, one for each level.
        for level in 0..shape.level_count(block) {
            let mut column: Vec<f64> = shape
                .levels(block)
                .iter()
                .map(|&of_run| f64::from(u8::from(of_run == level)))
                .collect();
            found.factored.whiten(&mut column);
            found.project(&mut column);
            found.factored.whiten_transposed(&mut column);
            for other in 0..=block + 1 {
                let part = problem.halved(other, &column);
                let sum = information.get(block + 1, other) + dot(&part, &part) / 2.0;
                information.set(block + 1, other, sum);
                information.set(other, block + 1, sum);
            }
        }
    }
    information
}

/// `tr(P P)`.
fn of_runs(found: &Evaluation) -> f64 {
    let mut total = found.factored.trace_of_square();
    for column in 0..found.rank() {
        // V⁻¹ X R⁻¹, whitened once more: its products are those of Qᵀ times the whitened inverse.
        let mut whitened = found.weighted.column(column).to_vec();
        found.factored.whiten(&mut whitened);
        total -= 2.0 * dot(&whitened, &whitened);
        for other in 0..found.rank() {
            let product = dot(found.weighted.column(column), found.weighted.column(other));
            total += product * product;
        }
    }
    total
}
