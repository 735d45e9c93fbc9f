//! Doubts as people read them.
//!
//! In: a [`Caveat`]. Out: its kind, what it touches, what was seen and what to do, not escaped.
//! This module never decides what is doubtful.

mod clauses;
mod of_assays;
mod of_bench;
mod of_charges;
mod of_diagnostics;
mod of_entries;
mod of_money;
mod of_plans;
mod words;

use crate::caveat::{About, Caveat, Doubt, Found, Weight};
pub(super) use clauses::spelt_alike;
pub(super) use of_entries::{likely, result};
use words::words;

/// What was seen, with its number.
pub(crate) fn seen(caveat: &Caveat) -> String {
    words(caveat).seen
}

/// The same in a few words, where it is about an entry.
pub(super) fn in_short(caveat: &Caveat) -> String {
    match &caveat.doubt {
        Doubt::Entry(slip) => of_entries::in_short(slip),
        _ => seen(caveat),
    }
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

/// The short fixed term for what a test of the fit has found.
fn diagnostic_kind(found: Found) -> &'static str {
    match found {
        Found::RunsBeyondChance => "runs beyond chance",
        Found::OnlyRunsWithATerm => "only runs with a term",
        Found::RunDecidesFit => "run decides the fit",
        Found::TermMissing => "term missing",
        Found::NotNormal => "residuals not normal",
        Found::SpreadChanges => "scatter changes with the settings",
        Found::NeighboursAlike | Found::NeighboursOpposite => "neighbouring runs connected",
        Found::WentWithOrder => "went with the order of the runs",
        Found::TermBadlyBlurred => "term badly blurred",
        Found::StronglyTogether => "terms hang together",
    }
}

/// The short fixed term for a kind, which scripts may rely on.
pub(crate) fn kind_text(doubt: &Doubt) -> &'static str {
    match doubt {
        Doubt::Entry(slip) => match slip.weight {
            Weight::Odd => "odd entry",
            Weight::Unlikely => "unlikely entry",
            Weight::Impossible => "impossible entry",
        },
        Doubt::AllOff { .. } => "off in all runs alike",
        Doubt::FactorOutsideItsRange { .. } => "factor outside its range",
        Doubt::AcceptedNothing { .. } => "accepted without need",
        Doubt::PurityAboveOne { .. } => "purity above 1",
        Doubt::AboveTheCeiling { .. } => "above the ceiling",
        Doubt::NoContainedYield { .. } => "no contained yield",
        Doubt::ResidueWithoutAssay { .. } => "residue without assay",
        Doubt::LiquorWithoutStrength { .. } => "liquor without strength",
        Doubt::BalanceLeavesNoResidue { .. } => "balance leaves no residue",
        Doubt::BalanceTakenForAssay { .. } => "balance taken for an assay",
        Doubt::SecondNotKnown { .. } => "second element not known",
        Doubt::InputWithoutUncertainty { .. } => "input without uncertainty",
        Doubt::ClosureAboveOne { .. } => "closure above 1",
        Doubt::ClosureBelowOthers { .. } => "closure below the others",
        Doubt::BalanceOpenInAllRuns { .. } => "balance open in all runs",
        Doubt::DateMissing { .. } => "date missing",
        Doubt::PlannedOrNotLogged { .. } => "planned or not logged",
        Doubt::PlannedNotCounted { .. } => "planned run not counted",
        Doubt::LevelsSpeltAlike(_) => "levels spelt alike",
        Doubt::Money(doubt) => of_money::kind(doubt),
        Doubt::PriceOfLotNotReadable { .. } => "price of a lot not readable",
        Doubt::AssayWithoutUncertainty { .. } => "assay without uncertainty",
        Doubt::AssayWithoutWeight { .. } => "assay without weight",
        Doubt::AssaysDisagree { .. } => "assays of a lot disagree",
        Doubt::StandardisationsDisagree { .. } => "standardisations disagree",
        Doubt::TitrantAgeing { .. } => "titrant ageing",
        Doubt::AtTheBench(doubt) => of_bench::kind(doubt),
        Doubt::DiscordantTitres { .. } => "discordant titres",
        Doubt::AssayTitresLikeCrops { .. } => "assay titres reckoned like crops",
        Doubt::FirstOrderFails { .. } => "first order fails",
        Doubt::SimulationNotStable { .. } => "simulation not stable",
        Doubt::ResponseNeverLogged => "response never logged",
        Doubt::RunWithoutFactor { .. } => "run without a factor",
        Doubt::FactorWithOneLevel { .. } => "factor with one level",
        Doubt::ConstantResponse { .. } => "constant response",
        Doubt::NearlyTangledTerms { .. } => "nearly tangled terms",
        Doubt::FewDegreesOfFreedom { .. } => "few degrees of freedom",
        Doubt::PerfectFit { .. } => "perfect fit",
        Doubt::BlocksInPlainFit { .. } => "blocks in a plain fit",
        Doubt::ScatterDiffersByLevel { .. } => "scatter differs by level",
        Doubt::NoScatter => "no scatter from run to run",
        Doubt::NoSpreadBetweenBlocks { .. } => "no spread between blocks",
        Doubt::FewLevelsOfBlock { .. } => "few levels of a block",
        Doubt::UnknownSpreadBetweenBlocks { .. } => "unknown spread between blocks",
        Doubt::FitNotSettled { .. } => "fit not settled",
        Doubt::BendUntold { .. } => "bend untold",
        Doubt::DiagnosticFailed { found, .. } => diagnostic_kind(*found),
        Doubt::FractionAtAnEnd { .. } => "fraction at an end of its scale",
        Doubt::FractionBeyondAnEnd { .. } => "fraction beyond its scale",
        Doubt::PredictionBeyondOne(_) => "prediction beyond 100 %",
        Doubt::PredictionBelowZero(_) => "prediction below 0 %",
        Doubt::EffectLeftInChart { .. } => "effect left in the chart",
        Doubt::ChartedAsLogged { .. } => "charted as logged",
        Doubt::NotCharted { .. } => "not charted",
        Doubt::FewerRunsThanBaseline { .. } => "fewer runs than the baseline",
        Doubt::PlanWithoutLimits { .. } => "plan without limits",
        Doubt::PlanWithoutShelf { .. } => "plan without a shelf",
        Doubt::PlanOnNewLot => "plan on a new lot",
    }
}
