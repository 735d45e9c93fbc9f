//! Everything that is known about a campaign.
//!
//! In: what the stages found. Out: [`Analysis`], and intervals at the coverage of the campaign.
//! This module never runs a stage.

use super::assays::OpenFigure;
use super::further::Further;
use crate::answers::{Answer, Basis, Question};
use crate::campaign::Campaign;
use crate::caveat::Caveat;
use crate::decide::{Claim, Costs, Findings, Firmness, ModelSet, NextRuns};
use crate::distributions::coverage_factor;
use crate::drift::Drifts;
use crate::error::Error;
use crate::measured::Measured;
use crate::runs::{RunResult, Runs};

/// Everything that is known about a campaign.
#[derive(Debug, Clone)]
pub struct Analysis {
    /// The campaign file.
    pub campaign: Campaign,
    /// Runs on one footing.
    pub runs: Runs,
    /// One model a response, and those that only decisions need.
    pub models: ModelSet,
    /// What stands beside each model of a response.
    pub further: Vec<Further>,
    /// What runs and product cost; `None` without prices.
    pub costs: Option<Costs>,
    /// What was found for each question.
    pub findings: Findings,
    /// What shakes each of them.
    pub firmness: Firmness,
    /// Which runs to make next, or why none can be planned; absent without a model.
    pub next: Option<Result<NextRuns, Error>>,
    /// Figures that open decisions rest on, and what repeating their assays would do to them.
    pub assays: Vec<OpenFigure>,
    /// Whether the process drifts.
    pub drift: Drifts,
    /// All nine answers, question 3 once for each model.
    pub answers: Vec<Answer>,
    /// Doubts, those about single runs first.
    pub caveats: Vec<Caveat>,
}

/// The best estimate with both ends of its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ends {
    /// The best estimate.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Whether the ends come from a simulation, because propagation fails.
    pub simulated: bool,
}

impl Analysis {
    /// What the answers are made from.
    pub(super) fn basis<'a>(&'a self, doubts: &'a [Caveat]) -> Basis<'a> {
        Basis {
            campaign: &self.campaign,
            runs: &self.runs,
            models: &self.models,
            findings: &self.findings,
            firmness: &self.firmness,
            next: self.next.as_ref(),
            drift: &self.drift,
            costs: self.costs.as_ref(),
            doubts,
            confidence: self.confidence(),
        }
    }

    /// All doubts, those about control charts last.
    pub fn doubts(&self) -> Vec<Caveat> {
        [self.caveats.as_slice(), &self.drift.caveats].concat()
    }

    /// Positions among all doubts of those that touch the answer to which a claim belongs.
    pub fn touching(&self, claim: Claim) -> Vec<usize> {
        let of_claim = |question: &Question| match claim {
            Claim::Effect { model, .. } => *question == Question::Moves(Some(model)),
            Claim::Route => *question == Question::Routes,
            Claim::Residue => *question == Question::Residue,
            Claim::Settings => *question == Question::Settings,
        };
        let mut answers = self.answers.iter();
        let found = answers.find(|answer| of_claim(&answer.question));
        found.map_or_else(Vec::new, |answer| answer.doubts.clone())
    }

    /// Coverage of all intervals.
    pub fn confidence(&self) -> f64 {
        self.campaign.confidence()
    }

    /// What makes a standard uncertainty that was stated, not estimated, half the width of an interval.
    pub fn coverage_factor(&self) -> f64 {
        coverage_factor(self.confidence(), f64::INFINITY).unwrap_or(f64::NAN)
    }

    /// The interval of a result by propagation, its degrees of freedom counted.
    pub fn ends(&self, value: &Measured) -> Ends {
        let half = self.runs.sources.expanded(value, self.confidence());
        Ends {
            value: value.value(),
            low: value.value() - half,
            high: value.value() + half,
            simulated: false,
        }
    }

    /// The interval of the contained yield of a run: the simulated one where propagation fails.
    pub fn contained_ends(&self, run: &RunResult) -> Option<Ends> {
        let contained = run.contained.as_ref().ok()?;
        Some(match &run.cross_check {
            Some(check) if !check.agrees => Ends {
                value: contained.value(),
                low: check.low,
                high: check.high,
                simulated: true,
            },
            _ => self.ends(contained),
        })
    }
}
