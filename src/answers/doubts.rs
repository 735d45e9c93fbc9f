//! The doubts that touch each answer.
//!
//! In: all doubts. Out: positions of those that touch a question.
//! This module never weighs a doubt.

use super::{Basis, Question};
use crate::caveat::{About, Caveat, Doubt, Part};
use crate::decide::{AimOf, ModelOf};
use crate::drift::Subject;

/// Positions of the doubts that touch a question.
pub(super) fn touching(basis: &Basis, question: &Question) -> Vec<usize> {
    let caveats = basis.doubts.iter().enumerate();
    let touching = caveats.filter(|(_, caveat)| touches(basis, question, caveat));
    touching.map(|(position, _)| position).collect()
}

fn touches(basis: &Basis, question: &Question, caveat: &Caveat) -> bool {
    match &caveat.doubt {
        Doubt::Entry(slip) if slip.accepted => false,
        Doubt::Entry(slip) => match slip.part {
            Some(Part::Oxidant) => !matches!(question, Question::Given | Question::Went),
            Some(Part::Labour) => !matches!(question, Question::Given | Question::Went),
            Some(part) if !part.is_of_a_yield() => {
                matches!(question, Question::Went | Question::Residue)
            }
            _ => *question != Question::Next,
        },
        // An entry or a titration: whatever was measured.
        Doubt::AllOff { .. }
        | Doubt::FactorOutsideItsRange { .. }
        | Doubt::AcceptedNothing { .. }
        | Doubt::PurityAboveOne { .. }
        | Doubt::AboveTheCeiling { .. }
        | Doubt::NoContainedYield { .. }
        | Doubt::InputWithoutUncertainty { .. }
        | Doubt::AssayWithoutUncertainty { .. }
        | Doubt::AssayWithoutWeight { .. }
        | Doubt::AssaysDisagree { .. }
        | Doubt::StandardisationsDisagree { .. }
        | Doubt::TitrantAgeing { .. }
        | Doubt::AtTheBench(_)
        | Doubt::DiscordantTitres { .. }
        | Doubt::AssayTitresLikeCrops { .. }
        | Doubt::FirstOrderFails { .. }
        | Doubt::SimulationNotStable { .. } => *question != Question::Next,
        // The content of residue.
        Doubt::ResidueWithoutAssay { .. }
        | Doubt::LiquorWithoutStrength { .. }
        | Doubt::BalanceLeavesNoResidue { .. }
        | Doubt::BalanceTakenForAssay { .. } => matches!(
            question,
            Question::Given | Question::Went | Question::Residue
        ),
        Doubt::SecondNotKnown { .. } => {
            matches!(question, Question::Residue | Question::Cost)
        }
        // The balance of the followed element.
        Doubt::ClosureAboveOne { .. }
        | Doubt::ClosureBelowOthers { .. }
        | Doubt::BalanceOpenInAllRuns { .. } => {
            matches!(question, Question::Went | Question::Residue)
        }
        // The shape of an effect.
        Doubt::BendUntold { .. } => matches!(
            question,
            Question::Moves(_) | Question::Residue | Question::Settings
        ),
        // A model.
        Doubt::LevelsSpeltAlike(_)
        | Doubt::ResponseNeverLogged
        | Doubt::RunWithoutFactor { .. }
        | Doubt::FactorWithOneLevel { .. }
        | Doubt::ConstantResponse { .. }
        | Doubt::NearlyTangledTerms { .. }
        | Doubt::FewDegreesOfFreedom { .. }
        | Doubt::PerfectFit { .. }
        | Doubt::BlocksInPlainFit { .. }
        | Doubt::ScatterDiffersByLevel { .. }
        | Doubt::NoScatter
        | Doubt::NoSpreadBetweenBlocks { .. }
        | Doubt::UnknownSpreadBetweenBlocks { .. }
        | Doubt::FitNotSettled { .. }
        | Doubt::DiagnosticFailed { .. }
        | Doubt::FractionAtAnEnd { .. }
        | Doubt::FractionBeyondAnEnd { .. }
        | Doubt::PredictionBeyondOne(_)
        | Doubt::PredictionBelowZero(_) => rests_on_model(basis, question, &caveat.about),
        // The level of a mean; differences within a level of a block have no part in it.
        Doubt::FewLevelsOfBlock { .. } => {
            !matches!(question, Question::Moves(_))
                && rests_on_model(basis, question, &caveat.about)
        }
        // A control chart.
        Doubt::DateMissing { .. }
        | Doubt::EffectLeftInChart { .. }
        | Doubt::ChartedAsLogged { .. }
        | Doubt::NotCharted { .. }
        | Doubt::FewerRunsThanBaseline { .. } => *question == Question::Drift,
        // A plan of further runs.
        Doubt::PlanWithoutLimits { .. }
        | Doubt::PlanWithoutShelf { .. }
        | Doubt::PlanOnNewLot
        | Doubt::PlannedNotCounted { .. } => *question == Question::Next,
        // What was made at all.
        Doubt::PlannedOrNotLogged { .. } => {
            matches!(question, Question::Given | Question::Next)
        }
        // A price, or what is paid.
        Doubt::Money(_) | Doubt::PriceOfLotNotReadable { .. } => {
            matches!(question, Question::Residue | Question::Cost)
        }
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
