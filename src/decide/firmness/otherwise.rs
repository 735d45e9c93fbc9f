//! Models fitted otherwise, and what becomes of a verdict in them.
//!
//! In: nothing of its own. Out: [`Otherwise`], [`OtherModels`], [`Outcome`], [`Held`].
//! This module never fits, and never weighs one way of fitting against another.

use serde::Serialize;

use crate::decide::models::ModelSet;

/// So many times the level of the interval, on both sides together, count where a term more is in the model: found by
/// simulation (`tests/it/verdicts/`) between 1, which keeps too few right verdicts, and 2, which leaves too many wrong ones.
const LEVELS_OF_A_TERM: f64 = 1.1;
/// A campaign with a low confidence still asks for so much.
const LEAST_CONFIDENCE: f64 = 0.5;

/// What is different about a fit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Otherwise {
    /// A smooth drift is allowed for.
    Drift,
    /// The scatter of neighbouring runs may be connected.
    Connected,
    /// The effect of this amount may bend.
    Bend(String),
    /// The effects of these two may change one another.
    Joint([String; 2]),
    /// These runs are left out.
    Without(Vec<String>),
    /// Runs far off weigh less.
    Robust,
}

/// The models of a campaign, fitted otherwise; what was not fitted so is as it was.
#[derive(Debug, Clone)]
pub struct OtherModels {
    /// What is different.
    pub how: Otherwise,
    /// The models.
    pub models: ModelSet,
}

/// What becomes of a verdict where the models are fitted otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// It stands.
    Stands,
    /// It is no longer shown.
    NotShown,
    /// The opposite would be shown.
    Reversed,
    /// It cannot be told.
    CannotBeTold,
}

impl Outcome {
    /// Of several parts of a verdict the one that is worst for it.
    pub(super) fn worst(outcomes: impl IntoIterator<Item = Outcome>) -> Outcome {
        let rank = |outcome: &Outcome| match outcome {
            Outcome::Stands => 0,
            Outcome::NotShown => 1,
            Outcome::CannotBeTold => 2,
            Outcome::Reversed => 3,
        };
        let worst = outcomes.into_iter().max_by_key(rank);
        worst.unwrap_or(Outcome::Stands)
    }
}

/// A verdict held against one way of fitting.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// What is different.
    pub how: Otherwise,
    /// What becomes of the verdict.
    pub outcome: Outcome,
    /// The figure that decides, where there is one: of residue the gain of a charged run \[currency\], of settings the gain over
    /// the best run made, of a route its shortest lead, in the unit of what is aimed at.
    pub figure: Option<f64>,
}

/// What becomes of a verdict, with the figure that decides.
#[derive(Debug, Clone, Copy)]
pub(super) struct Found {
    pub outcome: Outcome,
    pub figure: Option<f64>,
}

impl From<Outcome> for Found {
    fn from(outcome: Outcome) -> Self {
        Found {
            outcome,
            figure: None,
        }
    }
}

impl Otherwise {
    /// The confidence at which a verdict must stand here, where it stands at `confidence` in the model as asked.
    ///
    /// In most ways the other side of zero must be ruled out at the same level, which is an interval with that level on each
    /// side. A bend or a joint effect that was left out turns the verdict of the model as asked whatever its interval says,
    /// so that little but this interval keeps it from being wrong: it is nearly taken as it is.
    pub(super) fn confidence(&self, confidence: f64) -> f64 {
        let levels = match self {
            Otherwise::Bend(_) | Otherwise::Joint(_) => LEVELS_OF_A_TERM,
            Otherwise::Drift | Otherwise::Connected | Otherwise::Without(_) | Otherwise::Robust => {
                2.0
            }
        };
        (1.0 - levels * (1.0 - confidence)).max(LEAST_CONFIDENCE)
    }
}
