//! Block levels that hide behind terms: ghosts.
//!
//! In: the rows, the basis of the design and the natural terms. Out: the block levels that do the same as some term.
//! This module never reports a block level as a term, and never changes a fitted value.

use crate::regression::algebra::{Matrix, add, dot, length, pivoted, solve_upper, triangle};
use crate::regression::asked::Piece;
use crate::regression::design::{Basis, Combination, DEPENDENT, Runs};
use crate::regression::plain::Solution;

/// A block level whose runs are marked this completely by the terms is looked at more closely.
///
/// The first look works with squares, which hold half the digits.
const WORTH_A_LOOK: f64 = 1e-6;

/// A block level that stands beside the terms as a column of its own, but is no term.
#[derive(Debug, Clone)]
pub(crate) struct Ghost {
    pub factor: usize,
    pub level: usize,
    /// The combination of coded columns that marks the runs of this level.
    pub coded: Vec<f64>,
}

/// The block levels behind terms, and the triangle in which they stand beside the terms.
pub(crate) struct Ghosts {
    pub found: Vec<Ghost>,
    /// Columns of the design, then of the ghosts, then the shifted response.
    pub triangle: Matrix,
}

impl Ghost {
    /// The block level as a piece of a term.
    pub fn piece(&self) -> Piece {
        Piece::Level {
            factor: self.factor,
            level: self.level,
        }
    }
}

impl Ghosts {
    /// Looks at each level of each block, and of each choice watched besides, that has at least two levels with runs.
    ///
    /// A single block overall would only repeat the constant.
    pub fn find(runs: &Runs, solution: &Solution, natural: &[Combination]) -> Self {
        let candidates = candidates(runs, &solution.basis);
        if candidates.is_empty() {
            return Self {
                found: Vec::new(),
                triangle: solution.triangle.clone(),
            };
        }
        let wide = beside(runs, &candidates);
        let mut found = confirmed(&wide, &solution.basis, &candidates, runs.columns());
        found.retain(|ghost| loses_a_term(ghost, natural, &solution.basis));
        let level = |ghost: &Ghost| (ghost.factor, ghost.level);
        let levels: Vec<_> = found.iter().map(level).collect();
        Self {
            triangle: beside(runs, &levels),
            found,
        }
    }
}

/// Whether a term that could be estimated cannot be beside this block level.
fn loses_a_term(ghost: &Ghost, natural: &[Combination], basis: &Basis) -> bool {
    natural.iter().any(|term| {
        let mut nulls = basis.null.iter();
        let free = nulls.all(|null| basis.change(term, null) == 0.0);
        free && basis.change(term, &ghost.coded) != 0.0
    })
}

/// Block levels, each with its factor, that the columns of the design seem to mark.
fn candidates(runs: &Runs, basis: &Basis) -> Vec<(usize, usize)> {
    let mut row = vec![0.0; runs.columns()];
    let mut candidates = Vec::new();
    for &factor in &runs.design.watched {
        let block = &runs.data.factors[factor];
        let counts = block.runs_of_levels();
        if counts.iter().filter(|&&count| count > 0).count() < 2 {
            continue;
        }
        let mut sums = vec![vec![0.0; runs.columns()]; counts.len()];
        for (run, &level) in block.codes().iter().enumerate() {
            runs.row(run, &mut row);
            add(&mut sums[level], 1.0, &row);
        }
        for (level, (sum, &count)) in sums.iter().zip(&counts).enumerate() {
            let whitened = basis.whitened(sum);
            let marked = dot(&whitened, &whitened);
            if count > 0 && marked >= count as f64 * (1.0 - WORTH_A_LOOK) {
                candidates.push((factor, level));
            }
        }
    }
    candidates
}

/// The triangle of the design with columns for block levels before the shifted response.
fn beside(runs: &Runs, levels: &[(usize, usize)]) -> Matrix {
    let columns = runs.columns();
    triangle(runs.len(), columns + levels.len() + 1, |run, row| {
        runs.row(run, &mut row[..columns]);
        for (entry, &(factor, level)) in row[columns..].iter_mut().zip(levels) {
            *entry = f64::from(u8::from(runs.data.factors[factor].codes()[run] == level));
        }
        row[columns + levels.len()] = runs.shifted(run);
    })
}

/// The candidates that lie in the space of the independent columns, with their combination.
fn confirmed(
    wide: &Matrix,
    basis: &Basis,
    candidates: &[(usize, usize)],
    columns: usize,
) -> Vec<Ghost> {
    let divided = |column: usize, by: f64| -> Vec<f64> {
        wide.column(column).iter().map(|value| value / by).collect()
    };
    let own = |&column: &usize| divided(column, basis.weights[column]);
    let mut work: Vec<Vec<f64>> = basis.independent.iter().map(own).collect();
    let mut sizes = Vec::new();
    for column in columns..columns + candidates.len() {
        let size = length(wide.column(column));
        work.push(divided(column, size));
        sizes.push(size);
    }
    let reflected = pivoted(&work, basis.rank(), DEPENDENT);
    let mut ghosts = Vec::new();
    for (position, (&(factor, level), size)) in candidates.iter().zip(&sizes).enumerate() {
        let column = reflected.carried.column(position);
        if length(&column[reflected.rank..]) > DEPENDENT {
            continue;
        }
        let shares = solve_upper(&reflected.upper, &column[..reflected.rank]);
        let mut coded = vec![0.0; columns];
        for (step, share) in shares.iter().enumerate() {
            let column = basis.independent[reflected.order[step]];
            coded[column] = share * size / basis.weights[column];
        }
        ghosts.push(Ghost {
            factor,
            level,
            coded,
        });
    }
    ghosts
}
