//! What the results mean: the chemist's questions, answered with figures.
//!
//! In: runs on one footing and fitted models. Out: [`Findings`].
//! This module never fits, never reads a log and never writes a sentence.

mod aim;
mod balance;
mod consumption;
mod costs;
mod crops;
mod evidence;
mod findings;
mod firmness;
mod impurities;
mod liquor;
mod models;
mod moves;
mod next;
mod plannable;
mod recycle;
mod repeatability;
mod routes;
mod settings;
mod specification;
mod uncertainty_budget;
mod yields;

pub use aim::{Aimed, Direction, Gap, HowSettled, RangeEnd};
pub use balance::{Part, Went};
pub use consumption::PerKilogram;
pub use costs::{
    CampaignCost, Choice, CostKind, CostPart, Costs, HandlingStands, HeatPrices, Labour, Made,
    MakeOrBuy, NoCost, NotCounted, Paid, PriceBook, ReagentPrice, RunCost, Turning, WithoutCost,
    WorthUnknown, costs, doubts_of_money,
};
pub use crops::{Crops, CropsOf, Gained, SoldAs, Way};
pub use evidence::{Material, margin, margin_of_gain};
pub use findings::Findings;
pub use firmness::{
    Claim, FEWEST_DEGREES, Firmness, Gate, Grounds, Held, Impossible, LUCK_OF_A_GATE, Needed,
    OtherModels, Otherwise, Outcome, Shaken, Tested, amounts_seldom_change, doubted_runs, firmness,
    marks_seldom_change, needed,
};
pub use impurities::{Impurities, ImpuritiesOf, OneImpurity};
pub use liquor::{Liquor, Liquors, Next, NoLiquor, Refused, common_ion};
pub use models::{AimOf, ModelOf, ModelSet, PURITY, ResponseModel, SideModels, YIELD};
pub use moves::{AtLevel, Comparison, Effect, Moves, Verdict};
pub use next::{
    Bench, Compared, LotContent, NextRun, NextRuns, OpenContrast, OpenQuestions, Power, Question,
    RUNS_PLANNED, Reason, Weighing, Width, doubts_of_plans, first_runs, next_runs, open_questions,
};
pub use plannable::barred;
pub use recycle::{
    Amount, AtLevel as GainAtLevel, BLEEDS, BestBleed, BreakEven, BuildUp, CarriedGain, Cycle,
    CycleGain, Cycles, DRAWS_OF_GAIN, Figure, ForQuantity, Gain, Handled, Influence, KeptBy, Limit,
    Map as RecyclingMap, Money, Never, NoCycles, NotPlanned, Policies, Policy, Recycling,
    Reference, ResponseChange, Retained, Settling, Shares, Shelf, SideModel, Steady, Takes,
    Unanswered, Untold, Verdict as RecyclingVerdict, Way as ValuedAs, When, Worth, recycling,
    residue_factor, residue_gain,
};
pub use repeatability::{Repeatability, same_within};
pub use routes::{
    Beaten, BestRoute, ChanceOf, Chances, CropShare, DRAWS, NoMean, RouteDifference, RouteLead,
    RouteLevel, Routes, chances,
};
pub use settings::{
    AmountRange, BestSettings, Chosen, Contour, LimitBy, LinePoint, Present, SettingsLine,
    SettingsMap, Stop,
};
pub use specification::Specification;
pub use uncertainty_budget::{Budget, Improvement, budgets};
pub use yields::{Family, Given, MainSource, RouteSpread};

use crate::at_once::beside;
use crate::campaign::StandsFor;

/// Findings from runs and models.
pub fn findings(material: &Material) -> Findings {
    let Material {
        campaign,
        runs,
        models,
        ..
    } = *material;
    let (recycling, rest) = beside(
        || recycling(material),
        || {
            let routes = routes::routes(material);
            let settings = settings::settings(material);
            let moves = models.responses.iter();
            let moves = moves.map(|of| moves::moves(runs, of, margin(campaign, of.kind.name())));
            let moves = moves.collect();
            let given = yields::given(runs, routes.as_ref(), campaign.confidence());
            let budgets = budgets(runs);
            let repeatability = repeatability::repeatability(campaign, runs);
            let measurement_alone = repeatability::measurement_alone(runs);
            let crops = crops::crops(material);
            let consumption = consumption::per_kilogram(runs, campaign.confidence());
            let went = balance::went(runs);
            let liquors = liquor::liquors(campaign, runs);
            let impurities = impurities::impurities(material);
            let liquor_gain = recycle::liquor_gain(material);
            move |recycling: Result<Recycling, Unanswered>| Findings {
                given,
                budgets,
                repeatability,
                measurement_alone,
                crops,
                consumption,
                went,
                liquors,
                moves,
                routes,
                settings,
                residue_is_asked: campaign.factor_for(StandsFor::Residue).is_some()
                    || recycling.is_ok()
                    || runs.results.iter().any(|run| run.charge.residue_mass > 0.0),
                shelf: recycle::shelf(runs, &recycling),
                impurities,
                liquor_gain,
                recycling,
            }
        },
    );
    rest(recycling)
}
