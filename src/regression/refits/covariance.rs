//! The covariance of the errors of a fit, built anew from what the fit found.
//!
//! In: a fitted model and its runs on the scale of the fit. Out: [`Covariance`].
//! This module never estimates a variance.

use crate::distributions::mean;
use crate::regression::algebra::Matrix;
use crate::regression::asked::{Factor, FitData, Measurement};
use crate::regression::design::Runs;
use crate::regression::measured::variances::Problem;
use crate::regression::measured::{At, Errors, ScatterOf, Shape, problem};
use crate::regression::model::FittedModel;

/// A variance that is estimated as zero counts as this share of the largest one, so that the covariance has an inverse.
const NONE: f64 = 1e-8;

/// The covariance of a fit: its shape, the known errors at the fitted values, and the variances.
pub(super) struct Covariance<'m> {
    pub runs: Runs<'m>,
    pub shape: Shape,
    pub at: At,
    /// From run to run, one or one for each level that scatters by itself, then of each block; above zero.
    pub variances: Vec<f64>,
    columns: &'m [usize],
}

impl<'m> Covariance<'m> {
    /// That of a model fitted to these runs, on its scale; None of a perfect fit or without residual degrees of freedom.
    pub fn of(model: &'m FittedModel, on_scale: &'m FitData) -> Option<Self> {
        let machinery = &model.machinery;
        if machinery.perfect || model.residual_df == 0 {
            return None;
        }
        let nothing = Measurement::default();
        let mut groups = None;
        let (measurement, blocks, variances) = match &machinery.errors {
            Errors::Alike { mean_square, .. } => (&nothing, Vec::new(), vec![(*mean_square)?]),
            Errors::Measured(errors) => {
                let scatter = &errors.scatter;
                let variances = [&scatter.run_to_run[..], &scatter.blocks[..]].concat();
                let own = scatter.by_level.as_ref();
                groups = own.map(|own| (scatter.of_runs.clone(), own.count));
                (&on_scale.measurement, blocks(model, on_scale), variances)
            }
        };
        let scale = model.scale;
        let shape = Shape::new(measurement, on_scale.runs.len(), &blocks, scale);
        let shape = match groups {
            None => shape,
            Some((of_runs, count)) => shape.with_groups(of_runs, count),
        };
        let fitted: Vec<f64> = model.fitted.iter().map(|&y| scale.fitted(y)).collect();
        let at = shape.at(&fitted);
        let known = shape.known_variances(&at);
        let largest = variances.iter().chain(&known).copied().fold(0.0, f64::max);
        let above = |variance: &f64| variance.max(NONE * largest);
        (largest > 0.0 && largest.is_finite()).then(|| Self {
            runs: Runs::new(&machinery.design, &machinery.coding, on_scale),
            variances: variances.iter().map(above).collect(),
            columns: &machinery.basis.independent,
            shape,
            at,
        })
    }

    /// The variances of scatter that is alike at all levels: the mean over the runs, then that of each block.
    pub fn even_variances(&self) -> Vec<f64> {
        let (own, blocks) = self.variances.split_at(self.shape.group_count);
        let of_runs: Vec<f64> = self.shape.groups.iter().map(|&of| own[of]).collect();
        let own = if own.len() > 1 {
            mean(&of_runs)
        } else {
            own[0]
        };
        [&[own], blocks].concat()
    }

    /// The independent columns, the responses without their shift, and the shape of their errors.
    pub fn problem(&self) -> Problem<'_> {
        problem(&self.runs, self.columns, &self.shape)
    }

    /// What is known of the errors of the runs, as a matrix of runs by runs.
    pub fn known(&self) -> Matrix {
        let runs = self.runs.len();
        let mut of_errors: Vec<Vec<(usize, f64)>> = vec![Vec::new(); self.shape.pattern.size()];
        for run in 0..runs {
            let known = self.shape.entries(run);
            for entry in known.filter(|&entry| self.shape.entry_block(entry).is_none()) {
                of_errors[self.shape.columns[entry]].push((run, self.at.entries[entry]));
            }
        }
        let mut whole = Matrix::zeros(runs, runs);
        for (run, &own) in self.at.own.iter().enumerate() {
            whole.set(run, run, own);
        }
        for of_error in &of_errors {
            for &(one, effect) in of_error {
                for &(other, beside) in of_error {
                    whole.set(one, other, whole.get(one, other) + effect * beside);
                }
            }
        }
        whole
    }
}

/// The blocks whose spread a model estimated, in its order.
fn blocks<'d>(model: &FittedModel, data: &'d FitData) -> Vec<&'d Factor> {
    let components = model.variance_components.iter();
    let names = components.filter_map(|component| match &component.of {
        ScatterOf::Block(name) => Some(name),
        _ => None,
    });
    names
        .filter_map(|name| Some(&data.factors[data.position(name)?]))
        .collect()
}
