//! The fit of a model where the errors of the measurement are known.
//!
//! In: the coded rows, the plain solution to start from, what is known of the measurement, and the blocks. Out: [`Outcome`].
//! This module never takes the size of an error at an observed response: a run that came out low would count more.
//!
//! `y = X β + Σ Z_b b_b + e`, with covariance `V = σ² I + U + Σ σ_b² Z_b Z_bᵀ`, and `U` what is known, at the fitted values.
//! Where scatter differs by the levels `l` of a choice, `Σ σ_l² I_l` stands for `σ² I`, `I_l` being 1 for the runs at `l`.

use twofloat::TwoFloat;

use super::components::{Component, ScatterByLevel, ScatterOf};
use super::covariance::Shape;
use super::effect_tests::Columns;
use super::errors::{Errors, MeasuredErrors, NewRunVariances};
use super::iterations::{Closeness, Settled, settle, unshifted};
use super::residuals::{refined, residuals};
use super::scatter_by_level::ByLevel;
use super::small_sample::SmallSample;
use super::variances::{Problem, expected, groups, told_apart};
use crate::caveat::Doubt;
use crate::distributions::mean;
use crate::error::Error;
use crate::regression::algebra::Matrix;
use crate::regression::asked::{Factor, ModelParams};
use crate::regression::design::Runs;
use crate::regression::estimable::Ghost;
use crate::regression::plain::{EffectTest, FTest, Residuals, Solution, out_of_range};

/// Share of the scatter that counts as none: its root is a hundred-thousandth of the standard deviation.
const NONE: f64 = 1e-10;

/// Levels of a block below which the spread between them is hardly known: of 3 levels its standard deviation is known to a
/// factor of 6 either way at best (both ends of the 95 % interval with 2 degrees of freedom: 0.52 and 6.3 times the estimate).
const FEWEST_LEVELS: usize = 4;

/// What a way of fitting finds.
pub(crate) struct Found {
    /// One for each coded column; zero for columns that depend on others.
    pub coefficients: Vec<TwoFloat>,
    pub residuals: Residuals,
    pub errors: Errors,
    pub tests: Vec<EffectTest>,
    /// The test whether any term besides the constant has an effect.
    pub of_all: Option<FTest>,
    pub components: Vec<Component>,
    /// What runs scatter at each level of a choice, where that differs.
    pub uneven: Option<ScatterByLevel>,
    pub doubts: Vec<Doubt>,
}

/// How the runs are to be fitted.
pub(crate) enum Outcome {
    /// Nothing is known that a plain fit would not know; what was asked and cannot be told stands in the doubts.
    Plain(Vec<Doubt>),
    Measured(Box<Found>),
}

/// The blocks whose spread is estimated, and the levels whose scatter is.
struct Chosen<'a> {
    blocks: Vec<&'a Factor>,
    by_level: Option<&'a ByLevel>,
    doubts: Vec<Doubt>,
}

/// Fits with what is known of the measurement, no nearer than is asked for and from variances that may be near, and with a variance from run to run for each level of a choice if one is given.
///
/// # Errors
/// [`crate::error::ErrorKind::OutOfRange`] if the numbers are too large or too small to compute with.
pub(crate) fn fit(
    runs: &Runs,
    plain: &Solution,
    left: &Residuals,
    ghosts: &[Ghost],
    params: &ModelParams,
    (closeness, near): (Closeness, Option<&[f64]>),
    by_level: Option<&ByLevel>,
) -> Result<Outcome, Error> {
    let measurement = &runs.data.measurement;
    let groups = by_level.map_or(1, |by_level| by_level.count);
    let nothing = measurement.is_nothing() && groups == 1;
    let mut chosen = Chosen::of(runs, by_level);
    let residual_df = runs.len() - plain.basis.rank();
    if residual_df == 0 || nothing && (chosen.blocks.is_empty() || left.perfect) {
        return Ok(Outcome::Plain(chosen.doubts));
    }
    let columns = &plain.basis.independent;
    let mean_square = left.residual_squares / residual_df as f64;
    let of_blocks = |blocks: &[&Factor]| {
        let shape = Shape::new(measurement, runs.len(), blocks, params.scale);
        match by_level {
            None => shape,
            Some(by_level) => shape.with_groups(by_level.of_runs(&runs.data.factors), groups),
        }
    };
    let mut shape = of_blocks(&chosen.blocks);
    let known = mean(&shape.known_variances(&shape.at(&left.fitted)));
    let lowest = NONE * mean_square.max(known);
    if !(lowest > 0.0 && lowest.is_finite()) {
        return Err(out_of_range());
    }
    let unknown = (mean_square - known).max(mean_square / 10.0);
    let to_share = if left.perfect { 0.0 } else { unknown };
    let start = |blocks: usize| vec![(to_share / (1 + blocks) as f64).max(lowest); groups + blocks];
    if !chosen.blocks.is_empty() {
        let problem = problem(runs, columns, &shape);
        let found = problem.evaluate(&shape.at(&left.fitted), &start(shape.blocks()));
        let found = found.ok_or_else(out_of_range)?;
        let told = told_apart(&found, &expected(&problem, &found));
        if told.contains(&false) {
            chosen.keep(&told[groups..]);
            if nothing && chosen.blocks.is_empty() {
                return Ok(Outcome::Plain(chosen.doubts));
            }
            shape = of_blocks(&chosen.blocks);
        }
    }
    let problem = problem(runs, columns, &shape);
    let start = match near.filter(|near| near.len() == groups + shape.blocks()) {
        Some(near) => near.iter().map(|variance| variance.max(lowest)).collect(),
        None => start(shape.blocks()),
    };
    let settled = settle(
        &problem,
        runs,
        plain,
        &left.fitted,
        start,
        lowest,
        closeness,
    );
    let finish = |settled| {
        finish(
            runs,
            &problem,
            plain,
            ghosts,
            settled,
            chosen,
            (params.confidence, closeness),
        )
    };
    let found = settled.and_then(finish).ok_or_else(out_of_range)?;
    Ok(Outcome::Measured(Box::new(found)))
}

fn finish(
    runs: &Runs,
    problem: &Problem,
    plain: &Solution,
    ghosts: &[Ghost],
    settled: Settled,
    chosen: Chosen,
    (confidence, closeness): (f64, Closeness),
) -> Option<Found> {
    let by_level = chosen.by_level;
    let columns = &plain.basis.independent;
    let (solved, shape) = (&settled.solved, problem.shape);
    let groups = shape.group_count;
    let found = &solved.evaluation;
    let information = expected(problem, found);
    let bounds = &solved.at_bound;
    let sample = SmallSample::of(columns.clone(), problem, found, &information, bounds)?;
    let coefficients = refined(runs, problem, found, columns);
    let residuals = residuals(runs, problem, found, &coefficients)?;
    let mut variances = solved.variances.clone();
    let mut doubts = chosen.doubts;
    let bounded = (0..variances.len()).filter(|&position| solved.at_bound[position]);
    for position in bounded {
        variances[position] = 0.0;
        match position.checked_sub(groups) {
            // That one level of several scatters by nothing is said with their scatter.
            None if groups > 1 => {}
            None => doubts.push(Doubt::NoScatter),
            Some(block) => doubts.push(Doubt::NoSpreadBetweenBlocks {
                block: chosen.blocks[block].name.clone(),
            }),
        }
    }
    doubts.extend(chosen.blocks.iter().filter_map(|block| {
        let levels = block
            .runs_of_levels()
            .iter()
            .filter(|&&runs| runs > 0)
            .count();
        (levels < FEWEST_LEVELS).then(|| Doubt::FewLevelsOfBlock {
            block: block.name.clone(),
            levels,
        })
    }));
    let unsettled = settled.unsettled;
    doubts.extend(unsettled.map(|moved| Doubt::FitNotSettled { moved }));
    let typical = shape.scale.typical_slope(&residuals.fitted);
    let component = |(position, &variance): (usize, &f64)| {
        let of = match (position.checked_sub(groups), by_level) {
            (Some(block), _) => ScatterOf::Block(chosen.blocks[block].name.clone()),
            (None, None) => ScatterOf::RunToRun,
            (None, Some(by_level)) => by_level.scatter_of(position, &runs.data.factors),
        };
        let degrees = sample.degrees_of_variance(position, variance);
        Component::estimated(of, variance * (typical * typical), degrees, confidence)
    };
    let mut components: Vec<Component> = variances.iter().enumerate().map(component).collect();
    let uneven = by_level.map(|by_level| {
        let degrees = variances[..groups].iter().enumerate();
        let degrees =
            degrees.map(|(position, &variance)| sample.degrees_of_variance(position, variance));
        let factor = &runs.data.factors[by_level.factor];
        by_level.scatter(factor, &components, &degrees.collect::<Vec<_>>())
    });
    if !runs.data.measurement.is_nothing() {
        let mut known = shape.known_variances(&shape.at(&residuals.fitted));
        for (variance, &value) in known.iter_mut().zip(&residuals.fitted) {
            *variance *= shape.scale.slope(value).powi(2);
        }
        components.push(Component {
            of: ScatterOf::Measurement,
            sd: mean(&known).sqrt(),
            interval: None,
        });
    }
    let finite = coefficients.iter().all(|value| value.hi().is_finite())
        && components.iter().all(|component| component.sd.is_finite());
    if !finite {
        return None;
    }
    let scaled = found.scaled(&unshifted(runs, &coefficients, columns));
    let scatter = NewRunVariances {
        run_to_run: variances[..groups].to_vec(),
        of_runs: shape.groups.clone(),
        by_level: by_level.cloned(),
        blocks: variances[groups..].to_vec(),
        measurement: shape.mean_variances(),
    };
    let errors = MeasuredErrors { sample, scatter };
    let mut found = tested(runs, plain, ghosts, errors, &scaled, residuals, closeness);
    found.coefficients = coefficients;
    found.components = components;
    found.uneven = uneven;
    found.doubts = doubts;
    Some(found)
}

/// What a fit finds without its coefficients, components and doubts, which its caller adds.
///
/// `scaled` are the coefficients of the independent columns on the scale on which they are independent with variance 1.
pub(crate) fn tested(
    runs: &Runs,
    plain: &Solution,
    ghosts: &[Ghost],
    errors: MeasuredErrors,
    scaled: &[f64],
    residuals: Residuals,
    closeness: Closeness,
) -> Found {
    let columns = Columns::new(&plain.basis, runs.columns(), ghosts, &errors.sample, scaled);
    let mean_square = residuals.residual_squares / (runs.len() - plain.basis.rank()) as f64;
    let constant = runs.design.constant_column();
    let (others, own): (Vec<usize>, Vec<usize>) =
        (0..runs.columns()).partition(|&column| Some(column) == constant);
    Found {
        tests: columns.effect_tests(runs.design, mean_square),
        of_all: (closeness == Closeness::FULL)
            .then(|| columns.test(&others, &own).test)
            .flatten(),
        coefficients: Vec::new(),
        residuals,
        errors: Errors::Measured(Box::new(errors)),
        components: Vec::new(),
        uneven: None,
        doubts: Vec::new(),
    }
}

impl<'a> Chosen<'a> {
    /// The blocks that group the runs.
    fn of(runs: &Runs<'a>, by_level: Option<&'a ByLevel>) -> Self {
        let blocks = runs.design.blocks.iter();
        let mut chosen = Self {
            blocks: blocks.map(|&factor| &runs.data.factors[factor]).collect(),
            by_level,
            doubts: Vec::new(),
        };
        let grouping: Vec<bool> = chosen.blocks.iter().map(|block| groups(block)).collect();
        chosen.keep(&grouping);
        chosen
    }

    /// Keeps these blocks; the others leave a doubt.
    fn keep(&mut self, which: &[bool]) {
        let blocks = std::mem::take(&mut self.blocks).into_iter().zip(which);
        for (block, &keep) in blocks {
            if keep {
                self.blocks.push(block);
            } else {
                let block = block.name.clone();
                self.doubts
                    .push(Doubt::UnknownSpreadBetweenBlocks { block });
            }
        }
    }
}

/// The independent columns and the response without its shift.
pub(crate) fn problem<'a>(runs: &Runs, columns: &[usize], shape: &'a Shape) -> Problem<'a> {
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
