//! Doubts as people read them.
//!
//! In: a [`Caveat`]. Out: its kind, what it touches, what was seen and what to do, not escaped.
//! This module never decides what is doubtful.

mod clauses;
mod words;

use crate::caveat::{About, Caveat, CaveatKind};
use words::words;

/// What was seen, with its number.
pub(crate) fn seen(caveat: &Caveat) -> String {
    words(caveat).seen
}

/// What to do about it.
pub(crate) fn advice(caveat: &Caveat) -> String {
    words(caveat).advice
}

/// What a doubt touches: `run B-054`.
pub(crate) fn about_text(about: &About) -> String {
    match about {
        About::Campaign => "campaign".into(),
        About::Lot(lot) => format!("lot {lot}"),
        About::Titrant(titrant) => format!("titrant {titrant}"),
        About::Run(run) => format!("run {run}"),
        About::Response(response) => format!("model of {response}"),
    }
}

/// The short fixed term for a kind, which scripts may rely on.
pub(crate) fn kind_text(kind: CaveatKind) -> &'static str {
    match kind {
        CaveatKind::PurityAboveOne => "purity above 1",
        CaveatKind::AboveTheCeiling => "above the ceiling",
        CaveatKind::NoContainedYield => "no contained yield",
        CaveatKind::ResidueWithoutAssay => "residue without assay",
        CaveatKind::BalanceLeavesNoResidue => "balance leaves no residue",
        CaveatKind::BalanceTakenForAssay => "balance taken for an assay",
        CaveatKind::InputWithoutUncertainty => "input without uncertainty",
        CaveatKind::ClosureAboveOne => "closure above 1",
        CaveatKind::ClosureBelowOthers => "closure below the others",
        CaveatKind::BalanceOpenInAllRuns => "balance open in all runs",
        CaveatKind::DateMissing => "date missing",
        CaveatKind::TitreWithoutCrop => "titre without crop",
        CaveatKind::MoreResidueThanThereWas => "more residue than there was",
        CaveatKind::LevelsDifferInCase => "levels that differ in case only",
        CaveatKind::PriceOfLotNotReadable => "price of a lot not readable",
        CaveatKind::AssayWithoutUncertainty => "assay without uncertainty",
        CaveatKind::StandardisationsDisagree => "standardisations disagree",
        CaveatKind::TitrantAgeing => "titrant ageing",
        CaveatKind::DiscordantTitres => "discordant titres",
        CaveatKind::AssayTitresLikeCrops => "assay titres reckoned like crops",
        CaveatKind::FirstOrderFails => "first order fails",
        CaveatKind::SimulationNotStable => "simulation not stable",
        CaveatKind::ResponseNeverLogged => "response never logged",
        CaveatKind::RunWithoutFactor => "run without a factor",
        CaveatKind::FactorWithOneLevel => "factor with one level",
        CaveatKind::ConstantResponse => "constant response",
        CaveatKind::NearlyTangledTerms => "nearly tangled terms",
        CaveatKind::FewDegreesOfFreedom => "few degrees of freedom",
        CaveatKind::PerfectFit => "perfect fit",
        CaveatKind::BlocksInPlainFit => "blocks in a plain fit",
        CaveatKind::NoScatter => "no scatter from run to run",
        CaveatKind::NoSpreadBetweenBlocks => "no spread between blocks",
        CaveatKind::UnknownSpreadBetweenBlocks => "unknown spread between blocks",
        CaveatKind::FitNotSettled => "fit not settled",
        CaveatKind::PredictionBeyondOne => "prediction beyond 100 %",
        CaveatKind::PredictionBelowZero => "prediction below 0 %",
        CaveatKind::EffectLeftInChart => "effect left in the chart",
        CaveatKind::ChartedAsLogged => "charted as logged",
        CaveatKind::NotCharted => "not charted",
        CaveatKind::FewerRunsThanBaseline => "fewer runs than the baseline",
        CaveatKind::PlanWithoutLimits => "plan without limits",
        CaveatKind::PlanWithoutShelf => "plan without a shelf",
        CaveatKind::PlanOnNewLot => "plan on a new lot",
    }
}
