//! Which doubts touch which answer?
//!
//! In: all doubts. Out: positions of those that touch a question.
//! This module never weighs a doubt.

use super::{Basis, Question};
use crate::caveat::{About, Caveat, CaveatKind};
use crate::decide::{AimOf, ModelOf};
use crate::drift::Subject;

/// What a kind of doubt bears on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Bearing {
    /// An entry or a titration: whatever was measured.
    Measurement,
    /// The content of residue.
    Residue,
    /// The balance of the followed element.
    Balance,
    /// A model.
    Model,
    /// A control chart.
    Chart,
    /// A plan of further runs.
    Plan,
    /// A price.
    Price,
}

/// Positions of the doubts that touch a question.
pub(super) fn touching(basis: &Basis, question: &Question) -> Vec<usize> {
    let doubts = basis.doubts.iter().enumerate();
    doubts
        .filter(|(_, doubt)| touches(basis, question, doubt))
        .map(|(position, _)| position)
        .collect()
}

fn touches(basis: &Basis, question: &Question, doubt: &Caveat) -> bool {
    match bearing(doubt.kind()) {
        Bearing::Measurement => *question != Question::Next,
        Bearing::Residue => matches!(
            question,
            Question::Given | Question::Went | Question::Residue
        ),
        Bearing::Balance => matches!(question, Question::Went | Question::Residue),
        Bearing::Model => rests_on_model(basis, question, &doubt.about),
        Bearing::Chart => *question == Question::Drift,
        Bearing::Plan => *question == Question::Next,
        Bearing::Price => matches!(question, Question::Residue | Question::Cost),
    }
}

/// Whether a question rests on the model that a doubt is about; on every model, where it is about none in particular.
fn rests_on_model(basis: &Basis, question: &Question, about: &About) -> bool {
    let About::Response(response) = about else {
        return !matches!(question, Question::Given | Question::Went | Question::Cost);
    };
    let of = ModelOf::named(response);
    let is_purity_or_yield = matches!(of, ModelOf::Yield | ModelOf::Purity);
    match question {
        Question::Moves(Some(position)) => {
            let asked = basis.models.responses.get(*position);
            asked.is_some_and(|asked| asked.kind == of)
        }
        Question::Routes | Question::Settings => {
            is_purity_or_yield || AimOf::of(basis.campaign) == AimOf::Response(of)
        }
        Question::Residue => is_purity_or_yield,
        Question::Next => true,
        Question::Drift => {
            let of = Subject::Response(response.clone());
            basis.drift.series.iter().any(|series| series.subject == of)
        }
        Question::Given | Question::Went | Question::Cost | Question::Moves(None) => false,
    }
}

fn bearing(kind: CaveatKind) -> Bearing {
    match kind {
        CaveatKind::PurityAboveOne
        | CaveatKind::AboveTheCeiling
        | CaveatKind::NoContainedYield
        | CaveatKind::InputWithoutUncertainty
        | CaveatKind::TitreWithoutCrop
        | CaveatKind::AssayWithoutUncertainty
        | CaveatKind::StandardisationsDisagree
        | CaveatKind::TitrantAgeing
        | CaveatKind::DiscordantTitres
        | CaveatKind::AssayTitresLikeCrops
        | CaveatKind::FirstOrderFails
        | CaveatKind::SimulationNotStable => Bearing::Measurement,
        CaveatKind::ResidueWithoutAssay
        | CaveatKind::BalanceLeavesNoResidue
        | CaveatKind::BalanceTakenForAssay
        | CaveatKind::MoreResidueThanThereWas => Bearing::Residue,
        CaveatKind::ClosureAboveOne
        | CaveatKind::ClosureBelowOthers
        | CaveatKind::BalanceOpenInAllRuns => Bearing::Balance,
        CaveatKind::LevelsDifferInCase
        | CaveatKind::ResponseNeverLogged
        | CaveatKind::RunWithoutFactor
        | CaveatKind::FactorWithOneLevel
        | CaveatKind::ConstantResponse
        | CaveatKind::NearlyTangledTerms
        | CaveatKind::FewDegreesOfFreedom
        | CaveatKind::PerfectFit
        | CaveatKind::BlocksInPlainFit
        | CaveatKind::NoScatter
        | CaveatKind::NoSpreadBetweenBlocks
        | CaveatKind::UnknownSpreadBetweenBlocks
        | CaveatKind::FitNotSettled
        | CaveatKind::PredictionBeyondOne
        | CaveatKind::PredictionBelowZero => Bearing::Model,
        CaveatKind::DateMissing
        | CaveatKind::EffectLeftInChart
        | CaveatKind::ChartedAsLogged
        | CaveatKind::NotCharted
        | CaveatKind::FewerRunsThanBaseline => Bearing::Chart,
        CaveatKind::PlanWithoutLimits | CaveatKind::PlanWithoutShelf | CaveatKind::PlanOnNewLot => {
            Bearing::Plan
        }
        CaveatKind::PriceOfLotNotReadable => Bearing::Price,
    }
}
