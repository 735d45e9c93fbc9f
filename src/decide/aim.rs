//! The aim of a campaign, and what is missing to judge it.
//!
//! In: the `[aim]` of a campaign and the models there are. Out: [`Aimed`], and [`Gap`]s for what is missing.
//! This module never chooses an aim that the campaign does not state, except the yield by default.

use serde::Serialize;

use super::evidence::margin;
use super::models::{AimOf, ModelSet};
use super::specification::Specification;
use crate::campaign::{Campaign, Goal};
use crate::regression::{Estimate, Interval};

/// Which way is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// More is better.
    Up,
    /// Less is better.
    Down,
}

impl Direction {
    /// A difference of the response with a sign that is positive for the better.
    pub fn gain(self, difference: f64) -> f64 {
        match self {
            Direction::Up => difference,
            Direction::Down => -difference,
        }
    }
}

/// What "best" is measured by.
#[derive(Debug, Clone, PartialEq)]
pub struct Aimed {
    /// What it is of.
    pub of: AimOf,
    /// Its unit.
    pub unit: String,
    /// Which way is better.
    pub direction: Direction,
    /// A difference of it that does not matter in practice.
    pub margin: Option<f64>,
    /// Least purity that the product must have [mass fraction].
    pub spec: Option<f64>,
    /// Chance that a new run must have of meeting it.
    pub purity_chance: f64,
}

impl Aimed {
    /// The purity specification with what judges it; `None` where none is asked or no model of purity can tell.
    pub(super) fn specification<'a>(&self, models: &'a ModelSet) -> Option<Specification<'a>> {
        Some(Specification {
            purity: models.purity()?,
            limit: self.spec?,
            chance: self.purity_chance,
        })
    }
}

/// Which end of a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RangeEnd {
    /// The lowest value.
    Low,
    /// The highest value.
    High,
}

/// Something that is missing; what is answered without it goes with each.
#[derive(Debug, Clone, PartialEq)]
pub enum Gap {
    /// There is no model of what the campaign aims at.
    NoModel(AimOf),
    /// No purity specification is declared.
    NoSpecification {
        /// What is aimed at whatever the purity.
        aim: AimOf,
    },
    /// There is a purity specification but no model of purity.
    NoModelOfPurity {
        /// What is aimed at whatever the purity.
        aim: AimOf,
    },
    /// Only this route was run.
    OneRoute(String),
    /// Residue was charged of which nobody knows what it holds.
    ResidueWithoutAssay {
        /// Runs that charged it.
        runs: usize,
        /// Factor that stands for residue fed forward.
        factor: String,
    },
    /// An amount has no declared limit at one end or at both.
    NoLimits {
        /// The amount.
        factor: String,
        /// The end, or both where none is named.
        end: Option<RangeEnd>,
        /// Lowest value of the runs made.
        lowest: f64,
        /// Highest value of the runs made.
        highest: f64,
    },
    /// The model has no factor that could be set.
    NoFactor,
    /// All settings within the limits hold a combination that is never to be proposed.
    AllForbidden,
    /// The runs cannot tell what is aimed at anywhere within the limits.
    CannotBeTold(AimOf),
}

impl Gap {
    /// The gap that leaves no answer; the first, where none does by itself.
    pub fn that_stops(gaps: &[Gap]) -> Option<&Gap> {
        let stops = |gap: &&Gap| {
            matches!(
                gap,
                Gap::NoModel(_) | Gap::NoFactor | Gap::AllForbidden | Gap::CannotBeTold(_)
            )
        };
        gaps.iter().find(stops).or(gaps.first())
    }
}

/// How a lead stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum HowSettled {
    /// It is there, beyond what luck would give.
    Settled,
    /// The difference is shown to be smaller than what matters in practice.
    Alike,
    /// The runs leave it open.
    #[serde(rename = "not settled")]
    NotSettled,
}

impl HowSettled {
    /// How a gain over something else stands, from its interval and the difference that does not matter.
    ///
    /// Settled where the interval lies above zero; alike where it holds zero and lies within `± margin`; open otherwise, and
    /// without an interval.
    pub(super) fn of(gain: Option<Interval>, margin: Option<f64>) -> HowSettled {
        match (gain, margin) {
            (Some(ends), _) if ends.low > 0.0 => HowSettled::Settled,
            (Some(ends), Some(margin)) if ends.low > -margin && ends.high < margin => {
                HowSettled::Alike
            }
            _ => HowSettled::NotSettled,
        }
    }
}

/// The aim of a campaign; its unit is that of the model, where there is one.
pub(super) fn aimed(campaign: &Campaign, models: &ModelSet) -> Aimed {
    let of = AimOf::of(campaign);
    Aimed {
        unit: models
            .model(&of)
            .map_or_else(String::new, |model| model.unit.clone()),
        direction: match &campaign.aim.goal {
            Goal::Maximise(_) => Direction::Up,
            Goal::Minimise(_) => Direction::Down,
        },
        margin: margin(campaign, of.name()),
        spec: campaign.purity_spec,
        purity_chance: campaign.aim.purity_chance,
        of,
    }
}

/// What the aim asks for and the models do not give.
pub(super) fn gaps(aimed: &Aimed, models: &ModelSet) -> Vec<Gap> {
    let aim = || aimed.of.clone();
    let no_model = models.model(&aimed.of).is_none();
    let no_model = no_model.then(|| Gap::NoModel(aim()));
    let of_purity = match (aimed.spec, models.purity()) {
        (None, _) => Some(Gap::NoSpecification { aim: aim() }),
        (Some(_), None) => Some(Gap::NoModelOfPurity { aim: aim() }),
        (Some(_), Some(_)) => None,
    };
    no_model.into_iter().chain(of_purity).collect()
}

/// The first of those with the largest figure.
pub(super) fn first_largest<T>(
    all: impl IntoIterator<Item = T>,
    figure: impl Fn(&T) -> f64,
) -> Option<T> {
    let larger = |one: T, next: T| {
        if figure(&one) >= figure(&next) {
            one
        } else {
            next
        }
    };
    all.into_iter().reduce(larger)
}

/// Both ends multiplied, the lower one first.
pub(super) fn times(ends: Interval, by: f64) -> Interval {
    Interval {
        low: (ends.low * by).min(ends.high * by),
        high: (ends.low * by).max(ends.high * by),
    }
}

/// An estimate with all its figures multiplied by an exact number, such as a yield as a share of its ceiling.
///
/// `u(c y) = |c| u(y)`; the degrees of freedom and the chance of zero stay.
pub(super) fn scaled(estimate: &Estimate, by: f64) -> Estimate {
    Estimate {
        value: estimate.value * by,
        standard_error: estimate.standard_error.map(|error| error * by.abs()),
        degrees_of_freedom: estimate.degrees_of_freedom,
        interval: estimate.interval.map(|ends| times(ends, by)),
        p: estimate.p,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lead_is_settled_only_beyond_zero_and_alike_only_within_the_margin() {
        let ends = |low, high| Some(Interval { low, high });
        assert_eq!(
            HowSettled::of(ends(0.1, 3.0), Some(5.0)),
            HowSettled::Settled
        );
        assert_eq!(
            HowSettled::of(ends(-0.1, 3.0), Some(5.0)),
            HowSettled::Alike
        );
        assert_eq!(
            HowSettled::of(ends(-0.1, 3.0), Some(2.0)),
            HowSettled::NotSettled
        );
        assert_eq!(
            HowSettled::of(ends(-0.1, 3.0), None),
            HowSettled::NotSettled
        );
        assert_eq!(HowSettled::of(None, Some(2.0)), HowSettled::NotSettled);
    }

    #[test]
    fn a_cost_that_falls_is_a_gain() {
        assert_eq!(Direction::Down.gain(-2.0), 2.0);
        assert_eq!(Direction::Up.gain(-2.0), -2.0);
    }
}
