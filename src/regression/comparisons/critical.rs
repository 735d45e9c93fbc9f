//! How many standard errors may the largest of several differences lie from zero by chance?
//!
//! In: the positions of the levels and which pairs are looked at together. Out: [`Family`]: critical value and adjusted chances.
//! This module never computes an integral itself; it chooses the way that is exact where there is one.

use super::one_factor::OneFactor;
use super::plane::Plane;
use super::positions::{Pair, Positions, in_own_space};
use super::simulated::Simulated;
use crate::distributions::{coverage_factor, t_two_sided};
use crate::regression::algebra::studentised_range::{
    exceeded_with, normal_lower, studentised_range_for_tail, studentised_range_upper,
};

/// Standard errors that are equal to within this make a balanced layout.
const BALANCED: f64 = 1e-9;

/// Relative numerical error of a critical value that was not simulated.
const INTEGRATED: f64 = 1e-8;

/// What a set of comparisons has in common.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Together {
    pub confidence: f64,
    pub degrees_of_freedom: f64,
    pub seed: u64,
    /// Number of the set, so that each draws from streams of its own.
    pub stream: u64,
}

/// A critical value and its numerical error, relative to it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Critical {
    pub value: f64,
    pub numerical_error: f64,
}

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
}

/// Differences that are looked at together.
#[derive(Debug, Clone)]
pub(crate) struct Family {
    /// None where no number is exceeded with that chance.
    pub critical: Option<Critical>,
    way: Way,
    degrees_of_freedom: f64,
}

#[derive(Debug, Clone)]
enum Way {
    Single,
    Range { means: usize },
    Plane(Plane),
    OneFactor(OneFactor),
    Simulated(Simulated),
}

impl Family {
    /// None without any pair that has an error.
    pub fn of(positions: &Positions, pairs: &[Pair], together: Together) -> Option<Self> {
        let directions: Vec<Vec<f64>> = pairs
            .iter()
            .filter_map(|&pair| positions.direction(pair))
            .collect();
        let directions = in_own_space(&directions);
        let df = together.degrees_of_freedom;
        let axes = directions.first()?.len();
        let way = if directions.len() == 1 {
            Way::Single
        } else if let Some(means) = balanced(positions, pairs) {
            Way::Range { means }
        } else if axes == 2 {
            Way::Plane(Plane::of(&directions))
        } else if let Some(one_factor) = OneFactor::of(&directions, df) {
            Way::OneFactor(one_factor)
        } else {
            let (simulated, critical) = Simulated::of(positions, pairs, together)?;
            return Some(Self {
                critical: Some(critical),
                way: Way::Simulated(simulated),
                degrees_of_freedom: df,
            });
        };
        let mut family = Self {
            critical: None,
            way,
            degrees_of_freedom: df,
        };
        family.critical = family
            .integrated(together.confidence)
            .map(|value| Critical {
                value,
                numerical_error: INTEGRATED,
            });
        Some(family)
    }

    /// Where the critical value is from.
    pub fn by(&self) -> CriticalValueBy {
        match self.way {
            Way::Single => CriticalValueBy::SingleDifference,
            Way::Range { .. } => CriticalValueBy::StudentisedRange,
            Way::Plane(_) => CriticalValueBy::Plane,
            Way::OneFactor(_) => CriticalValueBy::SharedError,
            Way::Simulated(_) => CriticalValueBy::Simulation,
        }
    }

    /// Chance that the largest of all `|t|` is at least this one.
    pub fn chance(&self, t: f64) -> Option<f64> {
        let df = self.degrees_of_freedom;
        match &self.way {
            Way::Single if df.is_infinite() => Some(2.0 * normal_lower(-t)),
            Way::Single => t_two_sided(t, df),
            Way::Range { means } => studentised_range_upper(t * 2f64.sqrt(), *means, df),
            Way::Plane(plane) => Some(plane.upper(t, df)),
            Way::OneFactor(one_factor) => Some(one_factor.upper(t)),
            Way::Simulated(simulated) => Some(simulated.upper(t)),
        }
    }

    fn integrated(&self, confidence: f64) -> Option<f64> {
        let (tail, df) = (1.0 - confidence, self.degrees_of_freedom);
        match &self.way {
            Way::Single => coverage_factor(confidence, df),
            Way::Range { means } => {
                studentised_range_for_tail(tail, *means, df).map(|range| range / 2f64.sqrt())
            }
            Way::Plane(plane) => exceeded_with(tail, |t| plane.upper(t, df)),
            Way::OneFactor(one_factor) => exceeded_with(tail, |t| one_factor.upper(t)),
            Way::Simulated(_) => None,
        }
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
