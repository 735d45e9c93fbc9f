//! What is known of the spread between the levels of blocks, where there are few.
//!
//! In: what follows from the variances of a fit, and the information about them. Out: [`Raised`] variances for the degrees
//! of freedom of means and new runs, and the covariance of means where a variance stays at its bound.
//! This module never touches a contrast within levels, which has no part in any of this.

use super::components::chi_squared_for_upper;
use super::variances::Evaluation;
use crate::regression::algebra::{Matrix, dot};

/// Chance that the spread between the levels of a block is larger than the one for which degrees of freedom of means and new
/// runs are worked out: of few levels a small spread is often luck, and Satterthwaite's formula would take it for knowledge.
/// Chosen by simulation with two to six lots and spreads from none to four times the scatter (`tests/it/coverage/lots.rs`).
const LARGER_SPREAD: f64 = 0.35;

/// Chance that levels of a block that are alike lie even nearer together than the least that a mean over them is given credit for.
const NEARER_TOGETHER: f64 = 0.05;

/// The variances as large as they may well be.
#[derive(Debug, Clone)]
pub(super) struct Raised {
    /// By how much each is raised; zero from run to run.
    pub by: Vec<f64>,
    /// The covariance of the variances if they were that large.
    pub errors: Matrix,
}

impl Raised {
    /// Raises each block variance to what it exceeds with the chance [`LARGER_SPREAD`]; `errors` is the covariance of the variances.
    ///
    /// The mean square between levels grows by a factor, and with it that part of its variance, `1 / I_bb`; what the scatter
    /// from run to run adds to it stays. Variances of blocks begin at `first_block`.
    pub fn of(
        found: &Evaluation,
        information: &Matrix,
        errors: &Matrix,
        first_block: usize,
    ) -> Self {
        let mut raised = Self::not(errors, found.scores.len());
        for variance in first_block..raised.by.len() {
            let spread = Spread::of(variance, found, information);
            let Some((spread, times)) =
                spread.and_then(|s| Some((s.mean_square, s.may_be_larger()?)))
            else {
                continue;
            };
            let more = (times * times - 1.0) / information.get(variance, variance);
            let error = errors.get(variance, variance) + more;
            raised.by[variance] = (times - 1.0) * spread;
            raised.errors.set(variance, variance, error);
        }
        raised
    }

    /// The variances as they are.
    pub fn not(errors: &Matrix, count: usize) -> Self {
        Self {
            by: vec![0.0; count],
            errors: errors.clone(),
        }
    }
}

/// The covariance of means where block variances stay at their bound; None where none does.
///
/// Such a variance counts as what its score says, below zero: levels that lie nearer together than chance would put them tell
/// their mean better than runs that scatter as much as within a level would. With as many runs on each level the variance of
/// a mean over levels is then the mean square between levels by the number of runs, with the degrees of freedom of that,
/// exactly, instead of the larger one of all runs pooled with so few. It never falls below what [`NEARER_TOGETHER`] allows.
pub(super) fn of_means(
    found: &Evaluation,
    information: &Matrix,
    slopes: &[Matrix],
    at_bound: &[bool],
    first_block: usize,
) -> Option<Matrix> {
    let rank = found.rank();
    let bounded = (first_block..slopes.len()).filter(|&variance| at_bound[variance]);
    let share = 1.0 / bounded.clone().count() as f64;
    let mut below = Vec::new();
    for variance in bounded {
        let least = Spread::of(variance, found, information)?.least()?;
        let slope = &slopes[variance];
        let squares = (0..rank).map(|column| dot(slope.column(column), slope.column(column)));
        let size = squares.sum::<f64>().sqrt();
        let by_score = found.scores[variance] / information.get(variance, variance);
        let lowest = share * (least - 1.0) / size;
        if by_score.is_finite() && lowest.is_finite() {
            below.push((variance, by_score.clamp(lowest, 0.0)));
        }
    }
    (!below.is_empty()).then(|| {
        Matrix::of(rank, rank, |row, column| {
            let parts = below
                .iter()
                .map(|(variance, by)| by * slopes[*variance].get(row, column));
            f64::from(u8::from(row == column)) + parts.sum::<f64>()
        })
    })
}

/// What is known of the spread between the levels of a block.
struct Spread {
    /// Degrees of freedom of the mean square between levels; their number less one where no term differs between them.
    degrees: f64,
    /// That mean square by the runs of a level: the variance of a level and the part of run to run that its mean holds.
    mean_square: f64,
}

impl Spread {
    /// With `M = Z_bᵀ P Z_b` for a block: `tr(M)² / tr(M²)` degrees of freedom, and the mean square `tr(M) / tr(M²)`.
    ///
    /// Where each level has as many runs, `M` is a projection divided by the expected mean square, and both are exact.
    fn of(variance: usize, found: &Evaluation, information: &Matrix) -> Option<Self> {
        let squares = 2.0 * information.get(variance, variance);
        let trace = found.left[variance];
        let usable = squares > 0.0 && trace > 0.0;
        usable.then(|| Self {
            // At least 1 for any matrix without negative directions.
            degrees: (trace * trace / squares).max(1.0),
            mean_square: trace / squares,
        })
    }

    /// How many times as large the mean square is in truth with the chance [`LARGER_SPREAD`], at least 1.
    ///
    /// # Source
    /// Graybill and Wang, J. Amer. Statist. Assoc. 75 (1980) 869-873, take upper limits of mean squares in the same way.
    fn may_be_larger(&self) -> Option<f64> {
        let quantile = chi_squared_for_upper(1.0 - LARGER_SPREAD, self.degrees)?;
        let times = self.degrees / quantile;
        times.is_finite().then(|| times.max(1.0))
    }

    /// The share of the mean square below which it falls with the chance [`NEARER_TOGETHER`] where levels are alike.
    fn least(&self) -> Option<f64> {
        let quantile = chi_squared_for_upper(1.0 - NEARER_TOGETHER, self.degrees)?;
        Some((quantile / self.degrees).min(1.0))
    }
}
