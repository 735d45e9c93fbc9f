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
use crate::regression::covariance::{At, Shape};
use crate::regression::data::Factor;
use crate::regression::machinery::Errors;
use crate::regression::matrix::Matrix;
use crate::regression::small;

/// Variance of a term of which nothing is known, in units of that of a run: large beside any that runs leave, and small
/// enough that the digits of an ordinary number hold both.
pub(super) const FREE: f64 = 1e7;

/// Least variance of a shared error, in the same unit: one that was estimated as none keeps its place.
pub(super) const LEAST: f64 = 1e-9;

/// Shared errors that are followed one by one.
const MOST_ERRORS: usize = 200;

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
    /// Weight of each run.
    pub weights: Vec<f64>,
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
        components.any(|component| component.name == factor.name)
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
    let shape = Shape::new(&measurement, model.runs.len(), &of_blocks).on(machinery.scale);
    let fitted: Vec<f64> = model
        .fitted
        .iter()
        .map(|&value| machinery.scale.fitted(value))
        .collect();
    let at = shape.at(&fitted);
    let own = |run: usize| at.own.get(run).copied().unwrap_or(0.0);
    let weights = (0..model.runs.len())
        .map(|run| scatter.own / (run_to_run + own(run)).max(LEAST * scatter.own))
        .collect();
    let variances = (0..shape.pattern().size())
        .map(|column| match shape.block_of(column) {
            Some(block) => (block_variances[block] / scatter.own).max(LEAST),
            None => 1.0,
        })
        .collect();
    Made {
        weights,
        shape,
        at,
        variances,
        blocks,
        block_variances,
    }
}

/// The covariance of terms and kept errors after the runs made.
fn knowledge(made: &Made, layout: &Layout, scatter: Scatter, kept: &Kept) -> Option<Knowledge> {
    let terms = layout.terms();
    // With many errors those that no further run can have count as errors of each run for itself.
    let stands_for_itself = |column: usize| {
        made.variances.len() > MOST_ERRORS
            && made.shape.block_of(column).is_none()
            && !kept.columns.contains(&column)
    };
    let places_of_errors: Vec<usize> = (0..made.variances.len())
        .filter(|&column| !stands_for_itself(column))
        .collect();
    let mut place_of = vec![None; made.variances.len()];
    for (place, &column) in places_of_errors.iter().enumerate() {
        place_of[column] = Some(place);
    }
    let errors = places_of_errors.len();
    let size = terms + errors;
    let mut precision = Matrix::zeros(size, size);
    for term in 0..terms {
        precision.set(term, term, 1.0 / FREE);
    }
    for (place, &column) in places_of_errors.iter().enumerate() {
        precision.set(terms + place, terms + place, 1.0 / made.variances[column]);
    }
    let unit = scatter.own.sqrt();
    for (run, &weight) in made.weights.iter().enumerate() {
        let mut entries: Vec<(usize, f64)> = layout
            .row_of_run(run)
            .into_iter()
            .enumerate()
            .filter(|(_, entry)| *entry != 0.0)
            .collect();
        let mut own = 1.0 / weight;
        for entry in made.shape.entries(run) {
            let size = match made.shape.entry_block(entry) {
                Some(_) => 1.0,
                None => made.at.entries[entry] / unit,
            };
            match place_of[made.shape.columns()[entry]] {
                Some(place) => entries.push((terms + place, size)),
                None => own += size * size,
            }
        }
        for &(row, one) in &entries {
            for &(column, other) in &entries {
                let sum = precision.get(row, column) + one * other / own;
                precision.set(row, column, sum);
            }
        }
    }
    let whole = small::inverse(&precision, size)?;
    let mut alone = Matrix::zeros(errors, errors);
    for column in 0..errors {
        for row in 0..errors {
            alone.set(row, column, precision.get(terms + row, terms + column));
        }
    }
    let alone = small::inverse(&alone, errors)?;
    let places: Vec<usize> = (0..terms)
        .chain(
            kept.columns
                .iter()
                .filter_map(|&column| Some(terms + place_of[column]?)),
        )
        .collect();
    let (known, fresh) = (kept.columns.len(), kept.fresh.len());
    let mut covariance = Matrix::zeros(terms + known + fresh, terms + known + fresh);
    let mut errors_alone = Matrix::zeros(known + fresh, known + fresh);
    for (column, &from) in places.iter().enumerate() {
        for (row, &at) in places.iter().enumerate() {
            covariance.set(row, column, whole.get(at, from));
            if row >= terms && column >= terms {
                let value = alone.get(at - terms, from - terms);
                errors_alone.set(row - terms, column - terms, value);
            }
        }
    }
    for (place, &variance) in kept.fresh.iter().enumerate() {
        covariance.set(terms + known + place, terms + known + place, variance);
        errors_alone.set(known + place, known + place, variance);
    }
    Some(Knowledge {
        covariance,
        errors_alone,
        terms,
        errors: known + fresh,
    })
}
