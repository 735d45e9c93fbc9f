//! How is a doubt said to people?
//!
//! In: a [`Caveat`]. Out: its kind, what it touches, what was seen and what to do, not escaped.
//! This module never decides what is doubtful.

mod of_balance;
mod of_bench;
mod of_drift;
mod of_logs;
mod of_models;
mod of_plan;
mod of_runs;

use crate::caveat::{About, Caveat, CaveatKind, Doubt, PlusMinus};

/// A doubt in words: sentences that may hold names from logs; whoever prints them escapes them whole.
struct Words {
    seen: String,
    advice: String,
}

impl Words {
    fn new(seen: String, advice: impl Into<String>) -> Self {
        Self {
            seen,
            advice: advice.into(),
        }
    }
}

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

fn words(caveat: &Caveat) -> Words {
    let name = caveat.about.name();
    match &caveat.doubt {
        Doubt::PurityAboveOne { purity } => of_runs::purity_above_one(name, *purity),
        Doubt::AboveTheCeiling { part } => of_runs::above_the_ceiling(name, *part),
        Doubt::NoContainedYield { reason } => of_runs::no_contained_yield(name, reason),
        Doubt::ResidueWithoutAssay { charged, reason } => {
            of_runs::residue_without_assay(name, *charged, reason)
        }
        Doubt::FirstOrderFails { simulated, apart } => {
            of_runs::first_order_fails(name, *simulated, *apart)
        }
        Doubt::SimulationNotStable { tolerance, trials } => {
            of_runs::simulation_not_stable(name, *tolerance, *trials)
        }
        Doubt::ClosureAboveOne { closure, suspect } => {
            of_balance::closure_above_one(name, *closure, *suspect)
        }
        Doubt::ClosureBelowOthers { closure, suspect } => {
            of_balance::closure_below_others(name, *closure, *suspect)
        }
        Doubt::BalanceOpenInAllRuns { runs, missing } => of_balance::open(*runs, *missing),
        Doubt::BalanceLeavesNoResidue { assay } => of_balance::leaves_no_residue(name, *assay),
        Doubt::BalanceTakenForAssay { runs, of } => of_balance::taken_for_assay(runs, *of),
        Doubt::TitreWithoutCrop { crop } => of_bench::titre_without_crop(name, *crop),
        Doubt::StandardisationsDisagree {
            standardisations,
            times,
            chance,
            added,
        } => of_bench::disagree(name, *standardisations, *times, *chance, *added),
        Doubt::TitrantAgeing {
            per_day,
            standardisations,
            chance,
        } => of_bench::ageing(name, *per_day, *standardisations, *chance),
        Doubt::DiscordantTitres {
            sample,
            found,
            samples,
            by_luck,
        } => Words::new(
            of_bench::discordant(name, *sample, *found),
            of_bench::titrate_once_more(*samples, *by_luck),
        ),
        Doubt::AssayTitresLikeCrops { ratio, analyte } => {
            of_bench::assay_titres_like_crops(*ratio, analyte)
        }
        Doubt::InputWithoutUncertainty { sources, runs } => {
            of_logs::input_without_uncertainty(sources, *runs)
        }
        Doubt::DateMissing { without, of } => of_logs::date_missing(without, *of),
        Doubt::MoreResidueThanThereWas {
            charged,
            from,
            there,
        } => of_logs::more_residue(name, *charged, from, *there),
        Doubt::LevelsDifferInCase {
            factor,
            first,
            second,
        } => of_logs::levels_differ_in_case(factor, first, second),
        Doubt::PriceOfLotNotReadable {
            file,
            line,
            text,
            fault,
        } => of_logs::price_of_lot(&format!("lot {name} in {file} line {line}"), text, fault),
        Doubt::AssayWithoutUncertainty { assay } => of_logs::assay_of_lot(name, *assay),
        Doubt::ResponseNeverLogged => of_models::never_logged(name),
        Doubt::RunWithoutFactor { runs } => of_models::without_a_factor(name, runs),
        Doubt::FactorWithOneLevel {
            factor,
            level,
            runs,
        } => of_models::one_level(name, factor, level, *runs),
        Doubt::ConstantResponse { runs, value } => of_models::constant(*runs, *value),
        Doubt::NearlyTangledTerms { condition } => of_models::nearly_tangled(*condition),
        Doubt::FewDegreesOfFreedom { residual_df } => of_models::few_degrees(*residual_df),
        Doubt::PerfectFit { residual_df } => of_models::perfect(*residual_df),
        Doubt::BlocksInPlainFit { blocks } => of_models::blocks_in_plain(blocks),
        Doubt::NoScatter => of_models::no_scatter(),
        Doubt::NoSpreadBetweenBlocks { block } => of_models::no_spread(block),
        Doubt::UnknownSpreadBetweenBlocks { block } => of_models::unknown_spread(block),
        Doubt::FitNotSettled { moved } => of_models::not_settled(*moved),
        Doubt::PredictionBeyondOne(prediction) | Doubt::PredictionBelowZero(prediction) => {
            of_models::beyond(name, prediction)
        }
        Doubt::EffectLeftInChart { terms } => of_drift::left_in(name, terms),
        Doubt::ChartedAsLogged { fault } => of_drift::as_logged(name, fault),
        Doubt::NotCharted { reason } => of_drift::not_charted(name, *reason),
        Doubt::FewerRunsThanBaseline { asked, runs } => of_drift::short(name, *asked, *runs),
        Doubt::PlanWithoutLimits {
            factor,
            missing,
            within,
        } => of_plan::without_limits(factor, *missing, *within),
        Doubt::PlanWithoutShelf { lots, which } => of_plan::without_a_shelf(lots, *which),
        Doubt::PlanOnNewLot => of_plan::new_lot(name),
    }
}

/// `97.1 ± 0.4 %`, of a fraction.
fn percent(figure: PlusMinus) -> String {
    format!(
        "{:.1} ± {:.1} %",
        100.0 * figure.value,
        100.0 * figure.half_width
    )
}
