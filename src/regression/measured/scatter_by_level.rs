//! Whether runs scatter alike at all levels of a choice, and which levels have a scatter of their own.
//!
//! In: the choices of a model and the studentised residuals of its fit. Out: [`ByLevel`] where scatter is uneven beyond chance.
//! This module never fits, and never looks at a choice that is no effect of the model, unless it is asked to.

use super::components::{Component, LevelScatter, ScatterByLevel, ScatterOf};
use crate::distributions::{mean, middle};
use crate::regression::asked::{Design, Factor};
use crate::regression::plain::Residuals;
use crate::seeded::{Seeded, stream};

/// Chance below which scatter counts as uneven, all choices of the model together. Deviations from a median make the test
/// close on even scatter in one to two logs of a hundred only; at 1 % it would miss every fifth log of twelve runs a level
/// whose scatters are as one to six.
const LEVEL: f64 = 0.025;

/// Residual degrees of freedom that a level must have to be looked at: of fewer, a scatter of a sixth is hardly ever seen.
const FEWEST_DEGREES: f64 = 6.0;

/// Orders of the residuals that are drawn; the chance that is compared is then known to a sixth of itself.
const ORDERS: usize = 1_999;

/// Share of the mean deviation below which a level has none.
const NOTHING: f64 = 1e-6;

/// Two figures that differ by this share are the same but for rounding.
const ROUNDING: f64 = 1e-9;

/// A run of which so little is left is fitted by itself.
const FITTED_BY_ITSELF: f64 = 1e-10;

/// The levels of a choice that have a variance from run to run of their own.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ByLevel {
    /// Position of the choice among the factors.
    pub factor: usize,
    /// The variance of each level; levels with too few runs take that of the level that scatters most.
    pub of_levels: Vec<usize>,
    /// How many variances there are.
    pub count: usize,
    /// For each level whether it has a variance of its own.
    pub own: Vec<bool>,
    /// Chance of deviations so different when scatter is even, counted once for each choice looked at.
    pub p: f64,
}

impl ByLevel {
    /// The variance of each run.
    pub fn of_runs(&self, factors: &[Factor]) -> Vec<usize> {
        let codes = factors[self.factor].codes().iter();
        codes.map(|&code| self.of_levels[code]).collect()
    }

    /// What a variance is of.
    pub fn scatter_of(&self, variance: usize, factors: &[Factor]) -> ScatterOf {
        let factor = &factors[self.factor];
        let levels = factor.levels().iter().zip(factor.runs_of_levels());
        let levels = levels.zip(&self.of_levels);
        let its = levels.filter(|((_, runs), of)| *runs > 0 && **of == variance);
        ScatterOf::RunToRunAt {
            factor: factor.name.clone(),
            levels: its.map(|((level, _), _)| level.clone()).collect(),
        }
    }

    /// What each level scatters, from the components and degrees of freedom of the variances.
    pub fn scatter(
        &self,
        factor: &Factor,
        components: &[Component],
        degrees_of_freedom: &[f64],
    ) -> ScatterByLevel {
        let levels = factor.levels().iter().zip(&self.of_levels).zip(&self.own);
        let levels = levels.map(|((level, &variance), own)| LevelScatter {
            level: level.clone(),
            sd: components[variance].sd,
            degrees_of_freedom: degrees_of_freedom[variance],
            borrowed: !own,
        });
        ScatterByLevel {
            factor: factor.name.clone(),
            p: self.p,
            levels: levels.collect(),
        }
    }

    /// By how much each variance counts where levels have these weights.
    pub fn shares(&self, weights: &[f64]) -> Vec<f64> {
        let mut shares = vec![0.0; self.count];
        for (&variance, weight) in self.of_levels.iter().zip(weights) {
            shares[variance] += weight;
        }
        shares
    }
}

/// What one level leaves over.
struct Left {
    level: usize,
    /// Deviations of its studentised residuals from their median.
    deviations: Vec<f64>,
    degrees_of_freedom: f64,
}

impl Left {
    fn mean(&self) -> f64 {
        mean(&self.deviations)
    }
}

/// The choice whose levels scatter most differently, if they do so beyond chance.
///
/// With `d_l` the mean absolute deviation of the studentised residuals at level `l` from their median, `ν_l` the residual
/// degrees of freedom there and `d` the mean of `d_l` weighted by them, `Σ ν_l ln(d/d_l)` is held against what it comes to
/// when deviations change places at random, so that heavy tails do not count as uneven scatter.
/// The chance counts once for each choice (Bonferroni).
///
/// # Source
/// Brown and Forsythe, Robust tests for the equality of variances, J. American Statistical Association 69 (1974) 364-367
/// (deviations from the median); Boos and Brownie, Bootstrap methods for testing homogeneity of variances,
/// Technometrics 31 (1989) 69-82 (drawn anew from deviations of all groups together). Calibrated in
/// `tests/it/coverage/uneven_scatter.rs`.
pub(crate) fn uneven(
    design: &Design,
    factors: &[Factor],
    residuals: &Residuals,
) -> Option<ByLevel> {
    if residuals.perfect {
        return None;
    }
    let of_model = |factor: &usize| {
        let mut effects = design.effects.iter();
        effects.any(|effect| effect.factors.contains(factor)) || design.scattering.contains(factor)
    };
    let looked_at: Vec<(usize, Vec<Left>)> = (0..factors.len())
        .filter(of_model)
        .map(|factor| (factor, left(&factors[factor], residuals)))
        .filter(|(_, levels)| levels.len() > 1)
        .collect();
    let choices = looked_at.len() as f64;
    let chance = |(factor, levels): (usize, Vec<Left>)| {
        let p = choices * chance(&levels, LEVEL / choices)?;
        Some((
            by_level(factor, &factors[factor], &levels, p),
            apart(&levels),
        ))
    };
    let found = looked_at.into_iter().filter_map(chance);
    let least = found
        .min_by(|(one, most), (other, more)| one.p.total_cmp(&other.p).then(more.total_cmp(most)));
    least.map(|(found, _)| found)
}

/// The levels with enough residual degrees of freedom.
fn left(factor: &Factor, residuals: &Residuals) -> Vec<Left> {
    let of_level = |level: usize| {
        let codes = factor.codes().iter().enumerate();
        let runs = codes
            .filter(|&(_, &code)| code == level)
            .map(|(run, _)| run);
        let free = |run: &usize| 1.0 - residuals.leverages[*run] > FITTED_BY_ITSELF;
        let runs: Vec<usize> = runs.filter(free).collect();
        let studentised: Vec<f64> = runs.iter().map(|&run| residuals.studentised[run]).collect();
        let median = middle(studentised.clone())?;
        let degrees = runs.iter().map(|&run| 1.0 - residuals.leverages[run]).sum();
        Some(Left {
            level,
            deviations: studentised.iter().map(|e| (e - median).abs()).collect(),
            degrees_of_freedom: degrees,
        })
    };
    let levels = (0..factor.levels().len()).filter_map(of_level);
    levels
        .filter(|left| left.degrees_of_freedom >= FEWEST_DEGREES * (1.0 - ROUNDING))
        .collect()
}

/// The chance of deviations so different, or None where it is above a level.
fn chance(levels: &[Left], level: f64) -> Option<f64> {
    let found = apart(levels);
    // In the order of their size, so that the order of runs and of levels does not matter.
    let mut all: Vec<f64> = levels
        .iter()
        .flat_map(|left| left.deviations.clone())
        .collect();
    all.sort_by(f64::total_cmp);
    let mut parts: Vec<(usize, f64)> = levels
        .iter()
        .map(|left| (left.deviations.len(), left.degrees_of_freedom))
        .collect();
    parts.sort_by(|one, other| one.0.cmp(&other.0).then(one.1.total_cmp(&other.1)));
    // A fit has no seed: the same runs give the same answer.
    let mut random = Seeded::stream(0, stream::SCATTER_BY_LEVEL);
    let most = level * (ORDERS + 1) as f64;
    let mut as_far = 1;
    for _ in 0..ORDERS {
        for last in (1..all.len()).rev() {
            let place = (random.uniform() * (last + 1) as f64) as usize;
            all.swap(last, place);
        }
        let mut rest = all.as_slice();
        let means = parts.iter().map(|&(count, degrees)| {
            let (own, others) = rest.split_at(count);
            rest = others;
            (mean(own), degrees)
        });
        if difference(&means.collect::<Vec<_>>()) >= found * (1.0 - ROUNDING) {
            as_far += 1;
            if f64::from(as_far) > most {
                return None;
            }
        }
    }
    Some(f64::from(as_far) / (ORDERS + 1) as f64)
}

fn apart(levels: &[Left]) -> f64 {
    let means = levels
        .iter()
        .map(|left| (left.mean(), left.degrees_of_freedom));
    difference(&means.collect::<Vec<_>>())
}

/// `Σ ν ln(d/d_l)` of mean deviations with their degrees of freedom.
fn difference(means: &[(f64, f64)]) -> f64 {
    let degrees: f64 = means.iter().map(|(_, degrees)| degrees).sum();
    let all = means
        .iter()
        .map(|(mean, degrees)| mean * degrees)
        .sum::<f64>()
        / degrees;
    let part = |&(mean, degrees): &(f64, f64)| degrees * (all / mean.max(NOTHING * all)).ln();
    if all > 0.0 {
        means.iter().map(part).sum()
    } else {
        0.0
    }
}

fn by_level(factor: usize, choice: &Factor, levels: &[Left], p: f64) -> ByLevel {
    let means = levels.iter().map(Left::mean).enumerate();
    let widest = means.max_by(|one, other| one.1.total_cmp(&other.1));
    let mut of_levels = vec![widest.map_or(0, |(place, _)| place); choice.levels().len()];
    let mut own = vec![false; of_levels.len()];
    for (place, left) in levels.iter().enumerate() {
        of_levels[left.level] = place;
        own[left.level] = true;
    }
    ByLevel {
        factor,
        of_levels,
        count: levels.len(),
        own,
        p: p.min(1.0),
    }
}
