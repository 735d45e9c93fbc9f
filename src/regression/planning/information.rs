//! What the runs made tell: the covariance of the terms and of the errors that further runs share with them.
//!
//! In: a fitted model and where further runs may lie. Out: [`Knowledge`], and [`NewRuns`], which errors a further run has.
//! This module never estimates a variance: it takes those of the fit.
//!
//! All of it is in units of the variance that one further run has for itself. With `X` the terms and `Z` the shared
//! errors of the runs, weighted to that unit, the covariance of both is `[XᵀX + P⁻¹, XᵀZ; ZᵀX, ZᵀZ + G⁻¹]⁻¹`, where `G`
//! holds the variances of the shared errors and `P` is so large that the terms are as good as free.
//!
//! # Source
//! Henderson, Biometrics 31 (1975) 423-447 (mixed model equations).

use super::coded_terms::Layout;
use super::new_runs::{Kept, NewRuns, new_runs};
use super::runs_made::{FREE, LEAST, Made, Scatter, made};
use super::space::Space;
use super::{BlocksAs, Grouping};
use crate::regression::FittedModel;
use crate::regression::algebra::{Matrix, cholesky, dot};
use crate::regression::measured::Factored;

/// What is known before any further run.
#[derive(Debug, Clone)]
pub(super) struct Knowledge {
    /// Terms first, then shared errors that further runs may have.
    pub covariance: Matrix,
    /// Covariance of the shared errors if the terms were known.
    pub errors_alone: Matrix,
    pub terms: usize,
    pub errors: usize,
}

/// What is known before any further run, and what a further run shares with those made.
#[derive(Debug, Clone)]
pub(super) struct Known {
    pub knowledge: Knowledge,
    pub new_runs: NewRuns,
    pub scatter: Scatter,
}

/// The knowledge that a fitted model has, and the errors of further runs.
pub(super) fn of_model(
    model: &FittedModel,
    layout: &Layout,
    space: &Space,
    grouping: Option<&Grouping>,
    blocks_as: BlocksAs,
) -> Option<Known> {
    let made = made(model, layout, blocks_as);
    let (new_runs, kept) = new_runs(&made, layout, space, grouping, blocks_as);
    Some(Known {
        knowledge: knowledge(&made, layout, &kept)?,
        new_runs,
        scatter: made.scatter,
    })
}

/// What is known before the first run: nothing.
pub(super) fn of_nothing(layout: &Layout) -> Known {
    let terms = layout.terms();
    let nothing = Matrix::zeros(0, 0);
    Known {
        knowledge: Knowledge {
            covariance: with_variances(&nothing, 0, &vec![FREE; terms]),
            errors_alone: nothing,
            terms,
            errors: 0,
        },
        new_runs: NewRuns::default(),
        scatter: Scatter {
            own: 1.0,
            known: false,
        },
    }
}

/// The covariance of terms and kept errors after the runs made; all other errors are part of the covariance of the runs.
fn knowledge(made: &Made, layout: &Layout, kept: &Kept) -> Option<Knowledge> {
    let terms = layout.terms();
    let known = kept.columns.len();
    let columns = whitened_columns(made, layout, kept)?;
    let size = terms + known;
    let mut precision = Matrix::zeros(size, size);
    for (column, one) in columns.iter().enumerate() {
        for (row, other) in columns[..=column].iter().enumerate() {
            let shared = dot(one, other);
            precision.set(row, column, shared);
            precision.set(column, row, shared);
        }
        let variance = match column.checked_sub(terms) {
            None => FREE,
            Some(place) => made.variances[kept.columns[place]],
        };
        let sum = precision.get(column, column) + 1.0 / variance;
        precision.set(column, column, sum);
    }
    let whole = cholesky::inverse(&precision, size)?;
    let mut alone = Matrix::zeros(known, known);
    for column in 0..known {
        for row in 0..known {
            alone.set(row, column, precision.get(terms + row, terms + column));
        }
    }
    let alone = cholesky::inverse(&alone, known)?;
    Some(Knowledge {
        covariance: with_variances(&whole, size, &kept.fresh),
        errors_alone: with_variances(&alone, known, &kept.fresh),
        terms,
        errors: known + kept.fresh.len(),
    })
}

/// The leading square of this size with further variances behind it, which nothing else goes with.
fn with_variances(matrix: &Matrix, size: usize, further: &[f64]) -> Matrix {
    let all = size + further.len();
    let mut larger = Matrix::zeros(all, all);
    for column in 0..size {
        larger.column_mut(column)[..size].copy_from_slice(matrix.column(column));
    }
    for (place, &variance) in (size..).zip(further) {
        larger.set(place, place, variance);
    }
    larger
}

/// The columns of terms and kept errors in units of one run, whitened by the covariance of all other errors.
fn whitened_columns(made: &Made, layout: &Layout, kept: &Kept) -> Option<Vec<Vec<f64>>> {
    let terms = layout.terms();
    let unit = made.scatter.own.sqrt();
    let runs = layout.data.runs.len();
    let mut place_of = vec![None; made.variances.len()];
    for (place, &column) in kept.columns.iter().enumerate() {
        place_of[column] = Some(terms + place);
    }
    let mut columns = vec![vec![0.0; runs]; terms + kept.columns.len()];
    // What is followed by itself is no part of the covariance of the runs.
    let mut rest = made.at.clone();
    for run in 0..runs {
        for (column, entry) in columns.iter_mut().zip(layout.row_of_run(run)) {
            column[run] = entry;
        }
        for entry in made.shape.entries(run) {
            if let Some(place) = place_of[made.shape.columns[entry]] {
                columns[place][run] = match made.shape.entry_block(entry) {
                    Some(_) => 1.0,
                    None => made.at.entries[entry] / unit,
                };
                rest.entries[entry] = 0.0;
            }
        }
    }
    let least = LEAST * unit * unit;
    let mut variances = vec![made.run_to_run.max(least)];
    variances.extend(made.block_variances.iter().map(|v| v.max(least)));
    let factored = Factored::new(&made.shape, &rest, &variances)?;
    for column in &mut columns {
        factored.whiten(column);
        column.iter_mut().for_each(|value| *value *= unit);
    }
    Some(columns)
}
