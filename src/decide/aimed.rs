//! What is "best" for this campaign, and which models can judge it?
//!
//! In: the `[aim]` of a campaign and the models there are. Out: [`Aimed`], and [`Gap`]s for what is missing.
//! This module never chooses an aim that the campaign does not state, except the yield by default.

use crate::campaign::{Campaign, Goal};
use crate::regression::{Estimate, FittedModel, Interval};

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
    /// The response.
    pub response: String,
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

/// Something that is missing, and what is answered without it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gap {
    /// What is missing.
    pub missing: String,
    /// What is answered all the same, or what would help.
    pub still: String,
}

impl Gap {
    pub(super) fn new(missing: impl Into<String>, still: impl Into<String>) -> Gap {
        Gap {
            missing: missing.into(),
            still: still.into(),
        }
    }
}

/// How a lead stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HowSettled {
    /// It is there, beyond what luck would give.
    Settled,
    /// The difference is shown to be smaller than what matters in practice.
    Alike,
    /// The runs leave it open.
    NotSettled,
}

impl std::fmt::Display for HowSettled {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            HowSettled::Settled => "settled",
            HowSettled::Alike => "alike",
            HowSettled::NotSettled => "not settled",
        })
    }
}

impl HowSettled {
    /// How a gain over something else stands, from its interval and the difference that does not matter.
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

/// The models that judge settings.
#[derive(Debug, Clone, Copy)]
pub(super) struct Judges<'a> {
    pub models: &'a [FittedModel],
    /// Models of cost and labour, where there are prices.
    pub costs: &'a [FittedModel],
}

impl<'a> Judges<'a> {
    /// The model of a response; that of cost or labour where the campaign has none of that name.
    pub fn of(&self, response: &str) -> Option<&'a FittedModel> {
        let all = self.models.iter().chain(self.costs);
        all.into_iter().find(|model| model.response == response)
    }
}

/// The aim of a campaign; its unit is that of the model, where there is one.
pub(super) fn aimed(campaign: &Campaign, judges: &Judges) -> Aimed {
    let (response, direction) = match &campaign.aim.goal {
        Goal::Maximise(response) => (response, Direction::Up),
        Goal::Minimise(response) => (response, Direction::Down),
    };
    Aimed {
        response: response.clone(),
        unit: judges
            .of(response)
            .map_or_else(String::new, |model| model.unit.clone()),
        direction,
        margin: super::margin(campaign, response),
        spec: campaign.purity_spec,
        purity_chance: campaign.aim.purity_chance,
    }
}

/// What the aim asks for and the models do not give.
pub(super) fn gaps(aimed: &Aimed, judges: &Judges) -> Vec<Gap> {
    let mut gaps = Vec::new();
    if judges.of(&aimed.response).is_none() {
        gaps.push(match aimed.response.as_str() {
            "cost" => Gap::new(
                "there is no model of cost: it needs `[prices]`, and runs with the masses that are paid for",
                "yield and purity can still be compared; state prices, or aim at another response",
            ),
            "labour" => Gap::new(
                "there is no model of labour: it needs `labour` in the runs log",
                "yield and purity can still be compared; log the labour, or aim at another response",
            ),
            response => Gap::new(
                format!("there is no model of {response}, which `[aim]` names"),
                format!("add `{response}` to `model.responses`, or aim at another response"),
            ),
        });
    }
    match (aimed.spec, judges.of("purity")) {
        (None, _) => gaps.push(Gap::new(
            "no purity specification is declared",
            format!(
                "what is best is found for {} alone, whatever the purity; state `purity_spec` under `[campaign]`",
                aimed.response
            ),
        )),
        (Some(_), None) => gaps.push(Gap::new(
            "there is a purity specification but no model of purity",
            format!(
                "what is best is found for {} alone; log purities and add `purity` to `model.responses`",
                aimed.response
            ),
        )),
        (Some(_), Some(_)) => {}
    }
    gaps
}

/// An estimate with all its figures multiplied, such as a yield as a share of its ceiling.
pub(super) fn scaled(estimate: &Estimate, by: f64) -> Estimate {
    Estimate {
        value: estimate.value * by,
        standard_error: estimate.standard_error.map(|error| error * by.abs()),
        degrees_of_freedom: estimate.degrees_of_freedom,
        interval: estimate.interval.map(|ends| Interval {
            low: (ends.low * by).min(ends.high * by),
            high: (ends.low * by).max(ends.high * by),
        }),
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
