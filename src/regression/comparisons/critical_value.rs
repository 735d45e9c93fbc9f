//! The critical value of several differences together, and their adjusted chances.
//!
//! In: the positions of the levels and which pairs are looked at together. Out: [`Family`]: critical value and adjusted chances.
//! This module never computes an integral itself; it chooses the way that is exact where there is one.

use super::critical_by_plane::Plane;
use super::critical_by_shared_error::OneFactor;
use super::critical_by_simulation::{Critical, Simulated, Together};
use super::level_positions::{Pair, Positions, in_own_space};
use crate::distributions::{coverage_factor, t_two_sided};
use crate::regression::algebra::studentised_range::{
    exceeded_with, normal_lower, studentised_range_for_tail, studentised_range_upper,
};

/// Standard errors that are equal to within this make a balanced layout.
const BALANCED: f64 = 1e-9;

/// Relative numerical error of a critical value that was not simulated.
const INTEGRATED: f64 = 1e-8;

/// Where a critical value is from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CriticalValueBy {
    /// Student's t: there is one difference only.
    SingleDifference,
    /// The studentised range: all levels are equally well compared.
    StudentisedRange,
    /// Integration over a plane: all differences come from two.
    Plane,
    /// Integration over one shared error, such as that of the baseline.
    SharedError,
    /// Seeded simulation of directions.
    Simulation,
    /// The sum of the chances of all differences by themselves, which is on the safe side: there are too many to be looked at together.
    SumOfChances,
}

/// The chance that the largest of all `|t|` is at least this one.
type Chance = Box<dyn Fn(f64) -> Option<f64>>;

/// Differences that are looked at together.
pub(crate) struct Family {
    /// None where no number is exceeded with that chance.
    pub critical: Option<Critical>,
    /// Where it is from.
    pub by: CriticalValueBy,
    pub chance: Chance,
}

/// The chance that one `|t|` by itself is at least this one.
fn single(t: f64, degrees_of_freedom: f64) -> Option<f64> {
    if degrees_of_freedom.is_infinite() {
        Some(2.0 * normal_lower(-t))
    } else {
        t_two_sided(t, degrees_of_freedom)
    }
}

impl Family {
    /// So many differences that only the sum of their single chances is worked out, which no correlation exceeds.
    pub fn bounded(differences: usize, confidence: f64, degrees_of_freedom: f64) -> Self {
        let count = differences as f64;
        let value = coverage_factor(1.0 - (1.0 - confidence) / count, degrees_of_freedom);
        Self {
            critical: value.map(|value| Critical {
                value,
                numerical_error: INTEGRATED,
            }),
            by: CriticalValueBy::SumOfChances,
            chance: Box::new(move |t| {
                single(t, degrees_of_freedom).map(|chance| (count * chance).min(1.0))
            }),
        }
    }

    /// None without any pair that has an error.
    pub fn of(positions: &Positions, pairs: &[Pair], together: Together) -> Option<Self> {
        let directions: Vec<Vec<f64>> = pairs
            .iter()
            .filter_map(|&pair| positions.direction(pair))
            .collect();
        let directions = in_own_space(&directions);
        let axes = directions.first()?.len();
        let (tail, df) = (1.0 - together.confidence, together.degrees_of_freedom);
        let (by, value, chance): (_, _, Chance) = if directions.len() == 1 {
            (
                CriticalValueBy::SingleDifference,
                coverage_factor(together.confidence, df),
                Box::new(move |t| single(t, df)),
            )
        } else if let Some(means) = balanced(positions, pairs) {
            let root = 2f64.sqrt();
            let range = studentised_range_for_tail(tail, means, df);
            (
                CriticalValueBy::StudentisedRange,
                range.map(|range| range / root),
                Box::new(move |t| studentised_range_upper(t * root, means, df)),
            )
        } else if axes == 2 {
            let plane = Plane::of(&directions);
            (
                CriticalValueBy::Plane,
                exceeded_with(tail, |t| plane.upper(t, df)),
                Box::new(move |t| Some(plane.upper(t, df))),
            )
        } else if let Some(one_factor) = OneFactor::of(&directions, df) {
            (
                CriticalValueBy::SharedError,
                exceeded_with(tail, |t| one_factor.upper(t)),
                Box::new(move |t| Some(one_factor.upper(t))),
            )
        } else {
            let (simulated, critical) = Simulated::of(positions, pairs, together)?;
            return Some(Self {
                critical: Some(critical),
                by: CriticalValueBy::Simulation,
                chance: Box::new(move |t| Some(simulated.upper(t))),
            });
        };
        let critical = value.map(|value| Critical {
            value,
            numerical_error: INTEGRATED,
        });
        Some(Self {
            critical,
            by,
            chance,
        })
    }
}

/// The number of levels if the pairs are all pairs of them, each equally well known.
///
/// Equal variances of all differences are enough: their correlations then follow.
fn balanced(positions: &Positions, pairs: &[Pair]) -> Option<usize> {
    let mut levels: Vec<usize> = pairs.iter().flat_map(|p| [p.level, p.against]).collect();
    levels.sort_unstable();
    levels.dedup();
    let means = levels.len();
    let errors: Vec<f64> = pairs.iter().map(|&pair| positions.distance(pair)).collect();
    let first = *errors.first()?;
    let equal = errors
        .iter()
        .all(|error| (error - first).abs() <= BALANCED * first);
    (equal && pairs.len() == means * (means - 1) / 2).then_some(means)
}
