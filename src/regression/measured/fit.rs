//! How is a model fitted when the errors of the measurement are known?
//!
//! In: the coded rows, the plain solution to start from, what is known of the measurement, and the blocks. Out: [`MeasuredFit`].
//! This module never takes the size of an error at an observed response: a run that came out low would count more.
//!
//! `y = X β + Σ Z_b b_b + e`, with covariance `V = σ² I + U + Σ σ_b² Z_b Z_bᵀ`, and `U` what is known, at the fitted values.

use twofloat::TwoFloat;

use super::components::{Component, ScatterOf};
use super::covariance::{MeanVariances, Shape};
use super::residuals::{refined, residuals};
use super::settling::{Closeness, Settled, settle, unshifted};
use super::small_sample::SmallSample;
use super::variances::{Problem, expected, groups, told_apart};
use crate::caveat::Doubt;
use crate::regression::algebra::{Matrix, mean};
use crate::regression::asked::{Factor, ResponseScale};
use crate::regression::design::Runs;
use crate::regression::plain::{Residuals, Solution};

/// Share of the scatter that counts as none: its root is a hundred-thousandth of the standard deviation.
const NONE: f64 = 1e-10;

/// What a fit that knows the measurement finds.
pub(crate) struct MeasuredFit {
    /// One for each coded column; zero for columns that depend on others.
    pub coefficients: Vec<TwoFloat>,
    pub residuals: Residuals,
    pub errors: SmallSample,
    /// Coefficients on the scale on which they are independent with variance 1.
    pub scaled: Vec<f64>,
    pub scatter: NewRunVariances,
    pub components: Vec<Component>,
    pub doubts: Vec<Doubt>,
}

/// What scatters a new run about its expected value.
#[derive(Debug, Clone)]
pub(crate) struct NewRunVariances {
    pub run_to_run: f64,
    pub blocks: Vec<f64>,
    pub measurement: MeanVariances,
}

/// How the runs are to be fitted.
pub(crate) enum Outcome {
    /// Nothing is known that a plain fit would not know; what was asked and cannot be told stands in the doubts.
    Plain(Vec<Doubt>),
    Measured(Box<MeasuredFit>),
    /// The numbers are too large or too small to compute with.
    OutOfRange,
}

/// The blocks whose spread is estimated.
struct Chosen<'a> {
    blocks: Vec<&'a Factor>,
    doubts: Vec<Doubt>,
}

/// Fits with what is known of the measurement.
pub(crate) fn fit(
    runs: &Runs,
    plain: &Solution,
    left: &Residuals,
    confidence: f64,
    closeness: Closeness,
    scale: ResponseScale,
) -> Outcome {
    let measurement = &runs.data.measurement;
    let nothing = measurement.is_nothing();
    let mut chosen = Chosen::of(runs);
    let residual_df = runs.len() - plain.basis.rank();
    if residual_df == 0 || nothing && (chosen.blocks.is_empty() || left.perfect) {
        return Outcome::Plain(chosen.doubts);
    }
    let columns = &plain.basis.independent;
    let mean_square = left.residual_squares / residual_df as f64;
    let mut shape = Shape::new(measurement, runs.len(), &chosen.blocks).on(scale);
    let known = mean(&shape.known_variances(&shape.at(&left.fitted)));
    let lowest = NONE * mean_square.max(known);
    if !(lowest > 0.0 && lowest.is_finite()) {
        return Outcome::OutOfRange;
    }
    let unknown = (mean_square - known).max(mean_square / 10.0);
    let start = |blocks: usize| {
        let each = if left.perfect {
            0.0
        } else {
            unknown / (1 + blocks) as f64
        };
        vec![each.max(lowest); 1 + blocks]
    };
    if !chosen.blocks.is_empty() {
        let problem = problem(runs, columns, &shape);
        let Some(found) = problem.evaluate(&shape.at(&left.fitted), &start(shape.blocks())) else {
            return Outcome::OutOfRange;
        };
        let told = told_apart(&found, &expected(&problem, &found));
        if told.contains(&false) {
            chosen.keep(&told[1..]);
            if nothing && chosen.blocks.is_empty() {
                return Outcome::Plain(chosen.doubts);
            }
            shape = Shape::new(measurement, runs.len(), &chosen.blocks).on(scale);
        }
    }
    let problem = problem(runs, columns, &shape);
    let start = start(shape.blocks());
    let found = settle(
        &problem,
        runs,
        plain,
        &left.fitted,
        start,
        lowest,
        closeness,
    )
    .and_then(|settled| finish(runs, &problem, plain, settled, chosen, confidence));
    found.map_or(Outcome::OutOfRange, |found| {
        Outcome::Measured(Box::new(found))
    })
}

fn finish(
    runs: &Runs,
    problem: &Problem,
    plain: &Solution,
    settled: Settled,
    chosen: Chosen,
    confidence: f64,
) -> Option<MeasuredFit> {
    let columns = &plain.basis.independent;
    let solved = &settled.solved;
    let found = &solved.evaluation;
    let information = expected(problem, found);
    let errors = SmallSample::of(columns.clone(), problem, found, &information)?;
    let coefficients = refined(runs, problem, found, columns);
    let residuals = residuals(runs, problem, found, &coefficients)?;
    let variances: Vec<f64> = solved
        .variances
        .iter()
        .zip(&solved.at_bound)
        .map(|(&variance, &at_bound)| if at_bound { 0.0 } else { variance })
        .collect();
    let scale = problem.shape.scale();
    let typical = scale.typical_slope(&residuals.fitted);
    let blocks = chosen.blocks.iter();
    let blocks = blocks.map(|block| ScatterOf::Block(block.name.clone()));
    let mut components: Vec<Component> = std::iter::once(ScatterOf::RunToRun)
        .chain(blocks)
        .enumerate()
        .map(|(position, of)| {
            let (variance, error) = (variances[position], errors.error_of_variance(position));
            let degrees = 2.0 * (variance / error).powi(2);
            Component::estimated(of, variance * (typical * typical), degrees, confidence)
        })
        .collect();
    if !runs.data.measurement.is_nothing() {
        let shape = problem.shape;
        let mut known = shape.known_variances(&shape.at(&residuals.fitted));
        for (variance, &value) in known.iter_mut().zip(&residuals.fitted) {
            *variance *= scale.slope(value).powi(2);
        }
        components.push(Component::bare(ScatterOf::Measurement, mean(&known).sqrt()));
    }
    let mut doubts = chosen.doubts;
    for (position, _) in solved
        .at_bound
        .iter()
        .enumerate()
        .filter(|&(_, &at_bound)| at_bound)
    {
        doubts.push(match position.checked_sub(1) {
            None => Doubt::NoScatter,
            Some(block) => Doubt::NoSpreadBetweenBlocks {
                block: chosen.blocks[block].name.clone(),
            },
        });
    }
    doubts.extend(
        settled
            .unsettled
            .map(|moved| Doubt::FitNotSettled { moved }),
    );
    let finite = coefficients.iter().all(|value| value.hi().is_finite())
        && components.iter().all(|component| component.sd.is_finite());
    finite.then(|| MeasuredFit {
        scaled: found.scaled(&unshifted(runs, &coefficients, columns)),
        scatter: NewRunVariances {
            run_to_run: variances[0],
            blocks: variances[1..].to_vec(),
            measurement: problem.shape.mean_variances(),
        },
        coefficients,
        residuals,
        errors,
        components,
        doubts,
    })
}

impl<'a> Chosen<'a> {
    /// The blocks that group the runs.
    fn of(runs: &Runs<'a>) -> Self {
        let mut chosen = Self {
            blocks: runs
                .design
                .blocks
                .iter()
                .map(|&factor| &runs.data.factors[factor])
                .collect(),
            doubts: Vec::new(),
        };
        let grouping: Vec<bool> = chosen.blocks.iter().map(|block| groups(block)).collect();
        chosen.keep(&grouping);
        chosen
    }

    /// Keeps these blocks; the others leave a doubt.
    fn keep(&mut self, which: &[bool]) {
        let (mut kept, mut dropped) = (Vec::new(), Vec::new());
        for (&block, &keep) in self.blocks.iter().zip(which) {
            if keep {
                kept.push(block)
            } else {
                dropped.push(block)
            }
        }
        self.doubts.extend(
            dropped
                .iter()
                .map(|block| Doubt::UnknownSpreadBetweenBlocks {
                    block: block.name.clone(),
                }),
        );
        self.blocks = kept;
    }
}

/// The independent columns and the response without its shift.
fn problem<'a>(runs: &Runs, columns: &[usize], shape: &'a Shape) -> Problem<'a> {
    let mut entries = Matrix::zeros(runs.len(), columns.len());
    let mut row = vec![0.0; runs.columns()];
    for run in 0..runs.len() {
        runs.row(run, &mut row);
        for (position, &column) in columns.iter().enumerate() {
            entries.set(run, position, row[column]);
        }
    }
    Problem {
        columns: entries,
        rank: columns.len(),
        response: (0..runs.len()).map(|run| runs.shifted(run)).collect(),
        shape,
    }
}
