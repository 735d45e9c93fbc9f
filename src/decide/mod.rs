//! What the results mean: the chemist's questions, answered with figures.
//!
//! In: runs on one footing and fitted models. Out: [`Findings`].
//! This module never fits, never reads a log and never writes a sentence.

mod aimed;
mod costs;
mod given;
mod improve;
mod liquor;
mod models;
mod moves;
mod next;
mod recycle;
mod repeat;
mod routes;
mod settings;
mod specification;
mod went;

pub use aimed::{Aimed, Direction, Gap, HowSettled};
pub use costs::{
    CampaignCost, CostKind, CostPart, Costs, HeatPrices, NoCost, NotCounted, Paid, PriceBook,
    ReagentPrice, RunCost, WithoutCost, WorthUnknown,
};
pub use given::{Family, Given, MainSource, RouteSpread};
pub use improve::{Budget, Improvement, budgets};
pub use liquor::{Liquor, Liquors, Next, NoLiquor, Refused};
pub use models::{AimOf, ModelOf, ModelSet, PURITY, ResponseModel, SideModels, YIELD};
pub use moves::{AtLevel, Comparison, Effect, Moves, Verdict};
pub use next::{
    Bench, Compared, LotContent, NextRun, NextRuns, OpenContrast, OpenQuestions, PlanFrom, Power,
    Question, RUNS_PLANNED, Reason, Weighing, Width, first_runs, next_runs, open_questions,
};
pub use recycle::{
    Amount, AtLevel as GainAtLevel, BLEEDS, BestBleed, BreakEven, Charged, Cycle, CycleGain,
    Cycles, DRAWS_OF_GAIN, Figure, Figures, Gain, Influence, Limit, Map as RecyclingMap, Money,
    Never, NoCycles, NotPlanned, Recycling, Reference, ResidueGain, ResponseChange, Retained,
    Settling, Shares, SideModel, Steady, Unanswered, Untold, Verdict as RecyclingVerdict, Worth,
    gain, next_charge, steady_state,
};
pub use repeat::Repeatability;
pub use routes::{
    Beaten, BestRoute, ChanceOf, Chances, CropShare, DRAWS, NoMean, RouteDifference, RouteLead,
    RouteLevel, Routes, chances,
};
pub use settings::{
    AmountRange, BestSettings, Chosen, Contour, LimitBy, LinePoint, Present, RangeEnd,
    SettingsLine, SettingsMap, Stop, amount_of,
};
pub use specification::Specification;
pub use went::{Part, Went};

use crate::campaign::{Campaign, StandsFor};
use crate::distributions::middle;
use crate::regression::FactorComparisons;
use crate::runs::Runs;

/// What `[aim] margin` calls the gain of a charged run.
const GAIN: &str = "gain";

/// What was found for each question, as far as the log goes.
#[derive(Debug, Clone)]
pub struct Findings {
    /// What did the runs give?
    pub given: Option<Given>,
    /// Where does the ± come from: the campaign first, then lot by lot.
    pub budgets: Vec<Budget>,
    /// How well does the method repeat itself?
    pub repeatability: Option<Repeatability>,
    /// Scatter of yields from run to run that measurement alone would cause [fraction].
    pub measurement_alone: Option<f64>,
    /// Where did the rest go?
    pub went: Option<Went>,
    /// What do the liquors keep, and what would another crop bring?
    pub liquors: Option<Liquors>,
    /// What moves each response?
    pub moves: Vec<Moves>,
    /// Which recovery route is best?
    pub routes: Option<Routes>,
    /// Which settings are best, or what is missing for an answer; None without a model.
    pub settings: Option<Result<BestSettings, Vec<Gap>>>,
    /// Runs that charged residue.
    pub residue_runs: usize,
    /// Whether the campaign has to do with residue: a factor stands for it, or a run charged some.
    pub residue_is_asked: bool,
    /// Does it pay to feed the residue forward, or what is missing to say so?
    pub recycling: Result<Recycling, Unanswered>,
}

/// What is found from what.
#[derive(Debug, Clone, Copy)]
pub struct Material<'a> {
    /// The campaign.
    pub campaign: &'a Campaign,
    /// Its runs on one footing.
    pub runs: &'a Runs,
    /// Its models.
    pub models: &'a ModelSet,
    /// Levels compared, for each model of a response that `[model]` names.
    pub comparisons: &'a [Vec<FactorComparisons>],
    /// What runs and product cost.
    pub costs: Option<&'a Costs>,
    /// Seed of whatever is simulated.
    pub seed: u64,
}

/// Works out what runs and product cost; `None` without `[prices]`.
pub fn costs(campaign: &Campaign, runs: &Runs) -> Option<Costs> {
    costs::costs(campaign, runs)
}

/// Findings from runs and models.
pub fn findings(material: &Material) -> Findings {
    let Material {
        campaign,
        runs,
        models,
        comparisons,
        seed,
        ..
    } = *material;
    let residue_factor = campaign
        .factor_for(StandsFor::Residue)
        .map(|factor| factor.name.clone());
    let confidence = campaign.confidence();
    // What residue gains and which settings are best know nothing of each other, so that a second core need not wait.
    let (recycling, routes, settings) = std::thread::scope(|scope| {
        let recycling = scope.spawn(|| recycling(material));
        let routes = routes::routes(campaign, runs, models, comparisons, seed);
        let settings = settings::settings(campaign, runs, models, seed);
        match recycling.join() {
            Ok(recycling) => (recycling, routes, settings),
            Err(panic) => std::panic::resume_unwind(panic),
        }
    });
    Findings {
        given: given::given(runs, routes.as_ref(), confidence),
        budgets: improve::budgets(runs),
        repeatability: repeat::repeatability(campaign, runs),
        measurement_alone: repeat::measurement_alone(runs),
        went: went::went(runs),
        liquors: liquor::liquors(campaign, runs),
        moves: models
            .responses
            .iter()
            .map(|of| moves::moves(runs, of, margin(campaign, of.kind.name())))
            .collect(),
        routes,
        settings,
        residue_runs: residue_factor
            .as_ref()
            .map_or(0, |name| runs_above_zero(runs, name)),
        residue_is_asked: residue_factor.is_some()
            || recycling.is_ok()
            || runs.results.iter().any(|run| run.charge.residue_mass > 0.0),
        recycling,
    }
}

/// Whether it pays to feed the residue forward, or what is missing to say so.
///
/// # Errors
/// What is missing, and what can be answered all the same.
pub fn recycling(material: &Material) -> Result<Recycling, Unanswered> {
    recycle::recycling(&question(material))
}

/// What a run gains by the residue charged into it, without anything else that hangs on it.
///
/// # Errors
/// As [`recycling`], and a price that is missing.
pub fn residue_gain(material: &Material) -> Result<ResidueGain, Unanswered> {
    recycle::residue_gain(&question(material))
}

fn question<'a>(material: &Material<'a>) -> recycle::Question<'a> {
    recycle::Question {
        campaign: material.campaign,
        runs: material.runs,
        models: material.models,
        costs: material.costs,
        confidence: material.campaign.confidence(),
        seed: material.seed,
    }
}

/// The difference of a response that does not matter in practice, where the campaign states one.
fn margin(campaign: &Campaign, response: &str) -> Option<f64> {
    let stated = campaign
        .aim
        .margins
        .iter()
        .find(|margin| margin.response == response);
    stated.map(|margin| margin.difference)
}

/// The gain of a charged run that does not matter in practice; a declared response called `gain` has that margin itself.
fn margin_of_gain(campaign: &Campaign) -> Option<f64> {
    let is_declared = campaign.responses.iter().any(|plan| plan.name == GAIN);
    margin(campaign, GAIN).filter(|_| !is_declared)
}

fn runs_above_zero(runs: &Runs, factor: &str) -> usize {
    let column = runs.factors.iter().find(|column| column.name == factor);
    match column.map(|column| &column.values) {
        Some(crate::runs::FactorValues::Amount(values)) => values
            .iter()
            .zip(&runs.results)
            .filter(|(value, run)| run.set_aside.is_none() && value.is_some_and(|v| v > 0.0))
            .count(),
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_an_even_list_lies_between() {
        assert_eq!(middle(vec![4.0, 1.0, 3.0, 2.0]), Some(2.5));
        assert_eq!(middle(vec![3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(middle(vec![]), None);
    }
}
