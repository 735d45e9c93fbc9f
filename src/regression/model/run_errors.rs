//! The errors of the runs of a model, ready to be drawn.
//!
//! In: a fitted model and the factors whose effects stay in. Out: [`RunErrors`].
//! This module never counts how much the levels of a block differ: whoever draws adds what they have in common.

use super::estimates::Machinery;
use super::fitted::FittedModel;
use crate::distributions::mean;
use crate::regression::algebra::{dot, subtract};
use crate::regression::design::dense;
use crate::regression::measured::{Errors, Shape};
use crate::seeded::Seeded;

/// Part of the mean square that is left to the runs at least, where the measurement is said to explain all of it.
const LEAST_LEFT: f64 = 0.1;

/// Variances of runs that differ by less are equally large.
const EQUAL: f64 = 1e-9;

/// The errors that stay in the responses once the effects of factors are taken out of them.
///
/// `e − Σ (x − x₀) b(e)`, with `e` the errors of the runs, and `b(e)` what they do to a term that is taken out, whose
/// column is `x`, at the reference mix `x₀`: as in [`FittedModel::without_effects`]; of a fit on the logit scale of first
/// order, at the mean of what is left there.
#[derive(Debug, Clone)]
pub struct RunErrors {
    /// Standard deviation of what each run has for itself: from run to run, and of its own measurement.
    own: Vec<f64>,
    /// Errors that several runs share.
    shared: Vec<Shared>,
    /// Terms that are taken out.
    taken_out: Vec<TakenOut>,
}

/// An error that several runs share: what one standard deviation of it does to each.
type Shared = Vec<(usize, f64)>;

/// A term that is taken out.
#[derive(Debug, Clone)]
struct TakenOut {
    /// Its column at each run, less that at the reference mix.
    column: Vec<f64>,
    /// How it changes with the response of each run.
    weights: Vec<f64>,
}

impl RunErrors {
    /// Whether all runs have errors of their own alone, equally large.
    pub fn are_independent_and_alike(&self) -> bool {
        let first = self.own.first().copied().unwrap_or_default();
        let alike = |own: &f64| (own - first).abs() <= EQUAL * first;
        self.shared.is_empty() && self.own.iter().all(alike)
    }

    /// The same with errors in common besides, of this standard deviation, one for each group of runs.
    pub fn with_groups(mut self, groups: &[Vec<usize>], sd: f64) -> Self {
        let in_common = |runs: &Vec<usize>| runs.iter().map(|&run| (run, sd)).collect();
        self.shared.extend(groups.iter().map(in_common));
        self
    }

    /// One draw, one number a run.
    pub fn draw(&self, random: &mut Seeded) -> Vec<f64> {
        let mut errors: Vec<f64> = self.own.iter().map(|sd| sd * random.normal()).collect();
        for shared in &self.shared {
            let drawn = random.normal();
            for &(run, effect) in shared {
                errors[run] += effect * drawn;
            }
        }
        let terms = self.taken_out.iter();
        let changes: Vec<f64> = terms.map(|term| dot(&term.weights, &errors)).collect();
        for (term, change) in self.taken_out.iter().zip(changes) {
            subtract(&mut errors, change, &term.column);
        }
        errors
    }
}

impl FittedModel {
    /// The errors that stay in [`FittedModel::without_effects`], levels of blocks taken to be alike.
    ///
    /// What a run has for itself is the variance from run to run, as the fit estimated it, and that of its own
    /// measurement; shared are the errors of the measurement that several runs have, all at fitted values. A plain fit
    /// knows the measurement no less: what that explains on average is not counted again as scatter from run to run.
    ///
    /// None without residual degrees of freedom.
    ///
    /// # Units and shapes
    /// The unit of the response; one number for each of [`FittedModel::runs`].
    /// # Assumes
    /// Errors are normal, and sources independent of one another.
    /// # Source
    /// JCGM 100:2008, 5.2.2 (errors in common); Searle, Linear Models, 1971, 3.6 (what they do to a term).
    pub fn run_errors(&self, kept: &[&str]) -> Option<RunErrors> {
        let machinery = &self.machinery;
        let measurement = &machinery.data.measurement;
        let runs = self.runs.len();
        let shape = Shape::of_each_error(measurement, runs, self.scale);
        let fitted: Vec<f64> = self.fitted.iter().map(|&y| self.scale.fitted(y)).collect();
        let at = shape.at(&fitted);
        let run_to_run: Vec<f64> = match &machinery.errors {
            Errors::Measured(errors) => {
                let scatter = &errors.scatter;
                let of_run = |run: usize| scatter.of_runs.get(run).copied().unwrap_or_default();
                (0..runs)
                    .map(|run| scatter.run_to_run[of_run(run)])
                    .collect()
            }
            Errors::Alike { mean_square, .. } => {
                let mean_square = (*mean_square)?;
                let known = mean(&shape.known_variances(&at));
                vec![(mean_square - known).max(LEAST_LEFT * mean_square); runs]
            }
        };
        let left = mean(&self.without_effects(kept).values);
        let slope = self.scale.slope(self.scale.fitted(left));
        let own = at.own.iter().zip(&run_to_run);
        let own = own.map(|(own, run_to_run)| slope * (run_to_run + own).sqrt());
        let mut shared: Vec<Shared> = vec![Vec::new(); shape.pattern.size()];
        for run in 0..runs {
            for entry in shape.entries(run) {
                shared[shape.columns[entry]].push((run, slope * at.entries[entry]));
            }
        }
        Some(RunErrors {
            own: own.collect(),
            shared,
            taken_out: self.columns_taken_out(kept),
        })
    }

    fn columns_taken_out(&self, kept: &[&str]) -> Vec<TakenOut> {
        let machinery = &self.machinery;
        let columns = &machinery.design.columns;
        let natural = machinery.coding.natural(&machinery.design);
        let estimable = columns.iter().zip(&natural).filter(|(column, _)| {
            !machinery.stays(column, kept) && self.term(&column.name).is_some()
        });
        let taken_out = estimable.map(|(column, term)| {
            let combination: Vec<f64> = dense(term, columns.len())
                .iter()
                .map(|part| part.hi())
                .collect();
            TakenOut {
                column: machinery.off_reference(column),
                weights: machinery.run_weights(&combination),
            }
        });
        taken_out.collect()
    }
}

impl Machinery {
    /// By how much a combination of coded coefficients changes per change of the response of each run, on the scale of the fit.
    ///
    /// # Source
    /// `cᵀ(XᵀV⁻¹X)⁻¹XᵀV⁻¹`: Searle, Linear Models, 1971, 3.6; in a plain fit `V` is the unit matrix.
    pub fn run_weights(&self, combination: &[f64]) -> Vec<f64> {
        match &self.errors {
            Errors::Measured(errors) => {
                let sample = &errors.sample;
                sample.run_weights(&sample.scaled(combination))
            }
            Errors::Alike { .. } => {
                let whitened = self.basis.whitened(combination);
                let rows = (0..self.data.runs.len()).map(|run| self.row(run));
                rows.map(|row| dot(&whitened, &self.basis.whitened(&row)))
                    .collect()
            }
        }
    }
}
