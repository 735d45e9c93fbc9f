//! The runs made, as the planning of further runs sees them: their shared errors and variances, in the unit of one run.
//!
//! In: a fitted model and its terms. Out: [`Made`].
//! This module never estimates a variance: it takes those of the fit.

use super::BlocksAs;
use super::coded_terms::Layout;
use crate::regression::FittedModel;
use crate::regression::asked::Factor;
use crate::regression::measured::{At, Errors, ScatterOf, Shape};

/// Variance of a term of which nothing is known, in units of that of a run: large beside any that runs leave, and small
/// enough that the digits of an ordinary number hold both.
pub(super) const FREE: f64 = 1e7;

/// Least variance of a shared error, in the same unit: one that was estimated as none keeps its place.
pub(super) const LEAST: f64 = 1e-9;

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
    pub scatter: Scatter,
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
            errors.scatter.mean_run_to_run()
                + errors.scatter.measurement.own.at(at) / (slope * slope)
        }
    };
    let known = own > 0.0 && own.is_finite() && !model.machinery.perfect;
    Scatter {
        own: if known { own } else { 1.0 },
        known,
    }
}

/// The runs of a model.
pub(super) fn made(model: &FittedModel, layout: &Layout, blocks_as: BlocksAs) -> Made {
    let machinery = &model.machinery;
    let scatter = scatter(model);
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
        Errors::Measured(errors) if scatter.known => {
            let measurement = machinery.data.measurement.clone();
            (measurement, errors.scatter.mean_run_to_run())
        }
        _ => (Default::default(), scatter.own),
    };
    let of_blocks: Vec<&Factor> = blocks.iter().map(|&b| &machinery.data.factors[b]).collect();
    let shape = Shape::new(&measurement, model.runs.len(), &of_blocks, machinery.scale);
    let fitted = model.fitted.iter().map(|&y| machinery.scale.fitted(y));
    let at = shape.at(&fitted.collect::<Vec<f64>>());
    let variances = (0..shape.pattern.size())
        .map(|column| match shape.block_of[column] {
            Some(block) => (block_variances[block] / scatter.own).max(LEAST),
            None => 1.0,
        })
        .collect();
    Made {
        runs: model.runs.len(),
        scatter,
        run_to_run,
        shape,
        at,
        variances,
        blocks,
        block_variances,
    }
}
