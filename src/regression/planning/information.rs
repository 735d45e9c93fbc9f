//! What do the runs made tell, and what would one more run add?
//!
//! In: a fitted model and where further runs may lie. Out: [`Knowledge`]: the covariance of the terms and of the errors
//! that further runs share with the runs made, and [`NewRuns`], which errors a further run has.
//! This module never estimates a variance: it takes those of the fit.
//!
//! All of it is in units of the variance that one further run has for itself. With `X` the terms and `Z` the shared
//! errors of the runs, weighted to that unit, the covariance of both is `[XᵀX + P⁻¹, XᵀZ; ZᵀX, ZᵀZ + G⁻¹]⁻¹`, where `G`
//! holds the variances of the shared errors and `P` is so large that the terms are as good as free.
//!
//! # Source
//! Henderson, Biometrics 31 (1975) 423-447 (mixed model equations).

use super::layout::Layout;
use super::new_runs::{Kept, NewRuns, new_runs};
use super::space::Space;
use super::{BlocksAs, Grouping};
use crate::regression::FittedModel;
use crate::regression::algebra::{Matrix, cholesky, dot};
use crate::regression::asked::Factor;
use crate::regression::measured::{At, Errors, Factored, ScatterOf, Shape};

/// Variance of a term of which nothing is known, in units of that of a run: large beside any that runs leave, and small
/// enough that the digits of an ordinary number hold both.
pub(super) const FREE: f64 = 1e7;

/// Least variance of a shared error, in the same unit: one that was estimated as none keeps its place.
pub(super) const LEAST: f64 = 1e-9;

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

/// Variances of the fit that further runs will have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scatter {
    /// Of one run for itself, in the squared unit of the fit; 1 where nothing is known of it.
    pub own: f64,
    /// Whether it is known.
    pub known: bool,
}

/// Runs, errors and their variances in the unit of one run.
pub(super) struct Made {
    /// How many runs there are.
    pub runs: usize,
    /// Variance from run to run, in the squared unit of the fit.
    pub run_to_run: f64,
    pub shape: Shape,
    pub at: At,
    /// Prior variance of each shared error.
    pub variances: Vec<f64>,
    /// Factor of each block that has a variance, by its place among the blocks of the shape.
    pub blocks: Vec<usize>,
    pub block_variances: Vec<f64>,
}

/// The knowledge that a fitted model has, and the errors of further runs.
pub(super) fn of_model(
    model: &FittedModel,
    layout: &Layout,
    space: &Space,
    grouping: Option<&Grouping>,
    blocks_as: BlocksAs,
) -> Option<Known> {
    let scatter = scatter(model);
    let made = made(model, layout, scatter, blocks_as);
    let mut kept = Kept::default();
    let new_runs = new_runs(
        &made, layout, space, grouping, scatter, blocks_as, &mut kept,
    );
    let knowledge = knowledge(&made, layout, scatter, &kept)?;
    Some(Known {
        knowledge,
        new_runs,
        scatter,
    })
}

/// What is known before the first run: nothing.
pub(super) fn of_nothing(layout: &Layout) -> Known {
    let terms = layout.terms();
    let mut covariance = Matrix::zeros(terms, terms);
    for term in 0..terms {
        covariance.set(term, term, FREE);
    }
    let knowledge = Knowledge {
        covariance,
        errors_alone: Matrix::zeros(0, 0),
        terms,
        errors: 0,
    };
    let scatter = Scatter {
        own: 1.0,
        known: false,
    };
    Known {
        knowledge,
        new_runs: NewRuns::default(),
        scatter,
    }
}

pub(super) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

fn scatter(model: &FittedModel) -> Scatter {
    let own = match &model.machinery.errors {
        Errors::Alike { mean_square, .. } => mean_square.unwrap_or(0.0),
        Errors::Measured(errors) => {
            let machinery = &model.machinery;
            let at = mean(&model.fitted);
            let slope = machinery.scale.slope(machinery.scale.fitted(at));
            errors.scatter.run_to_run + errors.scatter.measurement.own.at(at) / (slope * slope)
        }
    };
    let known = own > 0.0 && own.is_finite() && !model.machinery.perfect;
    Scatter {
        own: if known { own } else { 1.0 },
        known,
    }
}

fn made(model: &FittedModel, layout: &Layout, scatter: Scatter, blocks_as: BlocksAs) -> Made {
    let machinery = &model.machinery;
    let known_block = |factor: &Factor| {
        let mut components = model.variance_components.iter();
        components.any(|component| component.of == ScatterOf::Block(factor.name.clone()))
    };
    let all = &layout.design.blocks;
    let (blocks, variances): (Vec<usize>, Vec<f64>) = match &machinery.errors {
        Errors::Measured(errors) => all
            .iter()
            .copied()
            .filter(|&block| known_block(&layout.data.factors[block]))
            .zip(errors.scatter.blocks.iter().copied())
            .unzip(),
        Errors::Alike { .. } => (Vec::new(), Vec::new()),
    };
    // Where blocks count as free, those without a variance of their own do too.
    let (blocks, block_variances) = match blocks_as {
        BlocksAs::Random => (blocks, variances),
        BlocksAs::Free => (all.clone(), vec![FREE * scatter.own; all.len()]),
    };
    let (measurement, run_to_run) = match &machinery.errors {
        Errors::Measured(errors) if scatter.known => (
            machinery.data.measurement.clone(),
            errors.scatter.run_to_run,
        ),
        _ => (Default::default(), scatter.own),
    };
    let of_blocks: Vec<&Factor> = blocks.iter().map(|&b| &machinery.data.factors[b]).collect();
    let shape = Shape::new(&measurement, model.runs.len(), &of_blocks, machinery.scale);
    let fitted: Vec<f64> = model
        .fitted
        .iter()
        .map(|&value| machinery.scale.fitted(value))
        .collect();
    let at = shape.at(&fitted);
    let variances = (0..shape.pattern.size())
        .map(|column| match shape.block_of[column] {
            Some(block) => (block_variances[block] / scatter.own).max(LEAST),
            None => 1.0,
        })
        .collect();
    Made {
        runs: model.runs.len(),
        run_to_run,
        shape,
        at,
        variances,
        blocks,
        block_variances,
    }
}

/// The covariance of terms and kept errors after the runs made; all other errors are part of the covariance of the runs.
fn knowledge(made: &Made, layout: &Layout, scatter: Scatter, kept: &Kept) -> Option<Knowledge> {
    let terms = layout.terms();
    let known = kept.columns.len();
    let unit = scatter.own.sqrt();
    let columns = whitened_columns(made, layout, unit, kept)?;
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
    let all = known + kept.fresh.len();
    let mut covariance = Matrix::zeros(terms + all, terms + all);
    let mut errors_alone = Matrix::zeros(all, all);
    for column in 0..size {
        covariance.column_mut(column)[..size].copy_from_slice(whole.column(column));
    }
    for column in 0..known {
        errors_alone.column_mut(column)[..known].copy_from_slice(alone.column(column));
    }
    for (place, &variance) in kept.fresh.iter().enumerate() {
        covariance.set(size + place, size + place, variance);
        errors_alone.set(known + place, known + place, variance);
    }
    Some(Knowledge {
        covariance,
        errors_alone,
        terms,
        errors: all,
    })
}

/// The columns of terms and kept errors in units of one run, whitened by the covariance of all other errors.
fn whitened_columns(made: &Made, layout: &Layout, unit: f64, kept: &Kept) -> Option<Vec<Vec<f64>>> {
    let terms = layout.terms();
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
