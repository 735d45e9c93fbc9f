//! Comparisons of the levels of a choice, all of them looked at together.
//!
//! In: a fitted model. Out: [`FactorComparisons`]: each pair of levels once, and each level against the baseline.
//! This module never fits, and never judges whether a difference matters in practice; for that see [`equivalence`].

mod critical_by_plane;
mod critical_by_shared_error;
mod critical_by_simulation;
mod critical_value;
mod equivalence_test;
mod level_positions;

#[cfg(test)]
mod tests;

use serde::Serialize;

use crate::regression::AdjustedMeans;
use crate::regression::estimable::Refusal;
use crate::regression::estimate::{Estimate, Interval};
use crate::regression::model::FittedModel;
use critical_by_simulation::Together;
use critical_value::Family;
use level_positions::{Known, Pair, Positions};

pub use critical_value::CriticalValueBy;
pub use equivalence_test::{Equivalence, EquivalenceVerdict, equivalence};

/// Levels of which every pair is compared; of more only those with the lowest and with the highest mean are, with all others.
pub const MOST_TOGETHER: usize = 20;

/// The difference between two levels, with the interval and the chance that allow for all others looked at with it.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct Comparison {
    /// Name of the choice.
    pub factor: String,
    /// The level whose adjusted mean counts positive.
    pub level: String,
    /// The level whose adjusted mean is taken off.
    pub against: String,
    /// Difference of the adjusted means, in the unit of the response.
    pub value: f64,
    /// Standard error of the difference, in the same unit; None without residual degrees of freedom.
    #[serde(rename = "u")]
    pub standard_error: Option<f64>,
    /// Simultaneous interval: all intervals of the set cover together with the confidence of the model.
    pub interval: Option<Interval>,
    /// Chance that any difference of the set is so many standard errors from zero when all true means are equal; None if the fit is perfect.
    pub p: Option<f64>,
    /// Degrees of freedom of this standard error alone.
    #[serde(rename = "df")]
    pub degrees_of_freedom: f64,
    /// Standard errors to either side of the value.
    pub critical_value: Option<f64>,
    /// Numerical error of the critical value, relative to it; with 99 % chance not exceeded where it was simulated.
    pub numerical_error: Option<f64>,
}

/// Two levels that the runs cannot compare.
#[derive(Debug, Clone, PartialEq)]
pub struct Untold {
    /// One level.
    pub level: String,
    /// The other.
    pub against: String,
    /// What stands in the way.
    pub reason: Refusal,
}

/// All comparisons between the levels of one choice.
#[derive(Debug, Clone, PartialEq)]
pub struct FactorComparisons {
    /// Name of the choice.
    pub factor: String,
    /// Each pair that can be told, once; the set that the intervals allow for is all of them.
    /// Of more than `MOST_TOGETHER` levels the pairs with the lowest or the highest mean in them.
    pub pairs: Vec<Comparison>,
    /// Where the critical value of the pairs is from; None without any.
    pub pairs_by: Option<CriticalValueBy>,
    /// Each level against the baseline; the set that the intervals allow for is these alone.
    pub against_baseline: Vec<Comparison>,
    /// Where the critical value against the baseline is from; None without any.
    pub baseline_by: Option<CriticalValueBy>,
    /// Degrees of freedom of both critical values: the smallest of the single differences, which is on the safe side.
    pub degrees_of_freedom: Option<f64>,
    /// The pairs that cannot be told.
    pub untold: Vec<Untold>,
}

/// Compares the levels of each choice among the effects: differences of adjusted means, all else at the reference mix.
///
/// Intervals are `value ± c · standard error`, with `c` exceeded by the largest of all `|t|` with chance `1 − confidence`.
/// `c` is exact (to 1e-8) for levels that are equally well compared (studentised range), for up to three levels, and for
/// correlations that come from one shared error, such as that of a baseline; else it is simulated to 0.2 % or better.
/// For more than `MOST_TOGETHER` levels it is that of the sum of the single chances, which makes intervals somewhat wider.
///
/// # Assumes
/// Normal errors; on the logit scale those of the differences are of first order, and adjusted chances rest on them.
/// Where single differences have different degrees of freedom the smallest is used for all.
/// Levels in groups that cannot be compared with each other count as independent, which makes intervals too wide rather
/// than too narrow (Royen, Far East Journal of Theoretical Statistics 48 (2014), 139-145).
/// # Source
/// Hsu, Multiple Comparisons: Theory and Methods, 1996, chapters 3 (baseline), 5 (all pairs) and 7 (general models);
/// Tukey, The problem of multiple comparisons, 1953; Dunnett, J. American Statistical Association 50 (1955), 1096-1121.
pub fn comparisons(model: &FittedModel, seed: u64) -> Vec<FactorComparisons> {
    // Each factor has a stream for all pairs and one for those against the baseline.
    let factors = model.adjusted_means.iter().zip((0..).step_by(2));
    factors
        .map(|(means, stream)| of_factor(model, means, seed, stream))
        .collect()
}

/// The levels with the lowest and the highest mean.
fn ends(means: &AdjustedMeans) -> [Option<usize>; 2] {
    let known = |at: &usize| Some((*at, means.levels[*at].mean.as_ref()?.value));
    let known: Vec<(usize, f64)> = (0..means.levels.len())
        .filter_map(|at| known(&at))
        .collect();
    let by_value = |one: &&(usize, f64), other: &&(usize, f64)| one.1.total_cmp(&other.1);
    [known.iter().min_by(by_value), known.iter().max_by(by_value)].map(|end| end.map(|end| end.0))
}

fn of_factor(
    model: &FittedModel,
    means: &AdjustedMeans,
    seed: u64,
    first_stream: u64,
) -> FactorComparisons {
    let factor = means.factor.as_str();
    let levels: Vec<&str> = means.levels.iter().map(|l| l.level.as_str()).collect();
    let ends = (levels.len() > MOST_TOGETHER).then(|| ends(means));
    let looked_at = |pair: &Pair| {
        let of = [pair.level, pair.against];
        ends.is_none_or(|ends| ends.iter().flatten().any(|end| of.contains(end)))
    };
    let mut told: Vec<(Pair, Estimate)> = Vec::new();
    let mut untold = Vec::new();
    for against in 0..levels.len() {
        for level in against + 1..levels.len() {
            let pair = Pair { level, against };
            if against > 0 && !looked_at(&pair) {
                continue;
            }
            match model.level_difference(factor, levels[level], levels[against]) {
                Ok(estimate) => told.push((pair, estimate)),
                Err(reason) => untold.push(Untold {
                    level: levels[level].to_string(),
                    against: levels[against].to_string(),
                    reason,
                }),
            }
        }
    }
    let known: Vec<Known> = told
        .iter()
        .filter_map(|(pair, estimate)| {
            let error = estimate.standard_error?;
            let (pair, variance) = (*pair, error * error);
            Some(Known { pair, variance })
        })
        .collect();
    let positions = ends.is_none().then(|| Positions::of(levels.len(), &known));
    let degrees_of_freedom = told
        .iter()
        .map(|(_, estimate)| estimate.degrees_of_freedom)
        .filter(|&df| df > 0.0)
        .min_by(f64::total_cmp);
    let others = levels.len().saturating_sub(1);
    let set = |keep: &dyn Fn(&Pair) -> bool, count: usize, stream: u64| {
        let pairs = known.iter().map(|known| known.pair);
        let pairs: Vec<Pair> = pairs.filter(keep).collect();
        let family = degrees_of_freedom.and_then(|degrees_of_freedom| {
            let together = Together {
                confidence: model.confidence,
                degrees_of_freedom,
                seed,
                stream: first_stream + stream,
            };
            match &positions {
                Some(positions) => Family::of(positions, &pairs, together),
                None => Some(Family::bounded(count, model.confidence, degrees_of_freedom)),
            }
        });
        let kept = told.iter().filter(|(pair, _)| keep(pair));
        let comparisons = kept.map(|(pair, estimate)| {
            let of = [levels[pair.level], levels[pair.against]];
            compared(factor, of, estimate, family.as_ref())
        });
        let comparisons: Vec<Comparison> = comparisons.collect();
        (comparisons, family.map(|family| family.by))
    };
    // The ends are chosen by their means, so that their intervals allow for all pairs.
    let (pairs, pairs_by) = set(&looked_at, levels.len() * others / 2, 0);
    let (against_baseline, baseline_by) = set(&|pair| pair.against == 0, others, 1);
    FactorComparisons {
        factor: factor.to_string(),
        pairs,
        pairs_by,
        against_baseline,
        baseline_by,
        degrees_of_freedom,
        untold,
    }
}

fn compared(
    factor: &str,
    [level, against]: [&str; 2],
    estimate: &Estimate,
    family: Option<&Family>,
) -> Comparison {
    let critical = family.and_then(|family| family.critical);
    let half = critical
        .zip(estimate.standard_error)
        .map(|(critical, error)| critical.value * error);
    let interval = half.map(|half| Interval {
        low: estimate.value - half,
        high: estimate.value + half,
    });
    // The single chance is missing where the fit is perfect, so that a ratio would be one of roundings.
    let p = estimate
        .p
        .and(estimate.standard_error)
        .filter(|&error| error > 0.0)
        .map(|error| estimate.value.abs() / error)
        .zip(family)
        .and_then(|(ratio, family)| (family.chance)(ratio));
    Comparison {
        factor: factor.to_string(),
        level: level.to_string(),
        against: against.to_string(),
        value: estimate.value,
        standard_error: estimate.standard_error,
        degrees_of_freedom: estimate.degrees_of_freedom,
        interval: interval.filter(|ends| ends.low.is_finite() && ends.high.is_finite()),
        p,
        critical_value: critical.map(|critical| critical.value),
        numerical_error: critical.map(|critical| critical.numerical_error),
    }
}
