//! Which blocks can show a spread of their own?
//!
//! In: the blocks, and what follows from first variances. Out: the blocks whose spread these runs can tell.
//! This module never drops a block silently: the caller learns which are left.

use super::evaluation::Evaluation;
use crate::regression::algebra::Matrix;
use crate::regression::asked::Factor;

/// Share of a trace or of an information below which the rest is rounding; rounding leaves a hundred times less.
const NOTHING_LEFT: f64 = 1e-8;

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
