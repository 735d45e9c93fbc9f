//! The expected information about the variances, and which of them these runs can tell.
//!
//! In: a [`Problem`] and what follows from its variances. Out: the expected information, and the blocks whose spread these runs can tell.
//! This module never looks at a response.

use super::evaluation::{Evaluation, Problem};
use crate::regression::algebra::{Matrix, dot};
use crate::regression::asked::Factor;

/// Multiplications up to which the expected information is worked out; beyond it there are so many shared errors that the
/// average information, which differs from it by about one part in the root of their number, serves as well.
const MOST_WORK: usize = 400_000_000;

/// Share of a trace or of an information below which the rest is rounding; rounding leaves a hundred times less.
const NOTHING_LEFT: f64 = 1e-8;

/// `½ tr(P V_i P V_j)`, exactly where that is cheap enough, else the average information.
///
/// # Source
/// Kenward and Roger, Biometrics 53 (1997) 983-997, equation 4.
pub(crate) fn expected(problem: &Problem, found: &Evaluation) -> Matrix {
    let shape = problem.shape;
    let pattern = &shape.pattern;
    let groups = shape.group_count;
    let single = if groups > 1 { shape.runs() } else { 0 };
    let levels = shape.level_counts.iter().sum::<usize>() + single;
    let of_vector = 2 * (shape.columns.len() + pattern.rows.len()) + problem.rank * shape.runs();
    let work = levels.saturating_mul(of_vector) + 4 * pattern.size() * pattern.rows.len();
    if work > MOST_WORK {
        return found.information.clone();
    }
    let count = found.scores.len();
    let mut information = Matrix::zeros(count, count);
    if single == 0 {
        information.set(0, 0, of_runs(found) / 2.0);
    }
    // Columns of `P Z`, one for each level of a block, and where there are groups one for each run.
    let mut add = |variance: usize, mut column: Vec<f64>| {
        found.factored.whiten(&mut column);
        found.project(&mut column);
        found.factored.whiten_transposed(&mut column);
        for other in 0..=variance {
            let part = problem.halved(other, &column);
            let sum = information.get(variance, other) + dot(&part, &part) / 2.0;
            information.set(variance, other, sum);
            information.set(other, variance, sum);
        }
    };
    for (run, &group) in shape.groups[..single].iter().enumerate() {
        let own = |other: usize| f64::from(u8::from(other == run));
        add(group, (0..shape.runs()).map(own).collect());
    }
    for block in 0..shape.blocks() {
        for level in 0..shape.level_counts[block] {
            let at_level = |&of_run: &usize| f64::from(u8::from(of_run == level));
            add(
                groups + block,
                shape.levels[block].iter().map(at_level).collect(),
            );
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

/// Whether the levels of a block group the runs at all: two levels or more, one of them with two runs or more.
pub(crate) fn groups(block: &Factor) -> bool {
    let counts = block.runs_of_levels();
    counts.iter().filter(|&&count| count > 0).count() > 1 && counts.iter().any(|&count| count > 1)
}

/// For each variance whether the runs can tell it beside those before it.
///
/// A block whose levels are told apart by the columns leaves no trace in `P`; two blocks that group the runs in the same way
/// have the same derivative.
pub(crate) fn told_apart(found: &Evaluation, information: &Matrix) -> Vec<bool> {
    let count = found.scores.len();
    let mut told = vec![false; count];
    let mut known: Vec<Vec<f64>> = Vec::new();
    for variance in 0..count {
        let own = information.get(variance, variance);
        if !(found.left[variance] > NOTHING_LEFT * found.traces[variance] && own > 0.0) {
            continue;
        }
        // One row of a Cholesky factor of the information of those told so far.
        let mut row: Vec<f64> = Vec::new();
        let before: Vec<usize> = (0..variance).filter(|&other| told[other]).collect();
        for (position, &other) in before.iter().enumerate() {
            let sum: f64 = row.iter().zip(&known[position]).map(|(a, b)| a * b).sum();
            row.push((information.get(variance, other) - sum) / known[position][position]);
        }
        let rest = own - row.iter().map(|part| part * part).sum::<f64>();
        if rest > NOTHING_LEFT * own {
            row.push(rest.sqrt());
            known.push(row);
            told[variance] = true;
        }
    }
    told
}
