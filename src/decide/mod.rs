//! What the results mean: the chemist's questions, answered with figures.
//!
//! In: runs on one footing and fitted models. Out: [`Answers`].
//! This module never fits, never reads a log and never writes a sentence.

mod given;
mod improve;
mod liquor;
mod moves;
mod next;
mod repeat;
mod routes;
mod went;

pub use given::{Given, MainSource, RouteSpread};
pub use improve::{Budget, Improvement, budgets};
pub use liquor::{Liquor, Liquors, Next, Refused};
pub use moves::{AtLevel, Comparison, Effect, Moves, Verdict};
pub use next::{
    Bench, LotContent, NamedContrast, NextRun, NextRuns, OpenQuestions, Power, Question,
    RUNS_PLANNED, Reason, Standing, Weighing, Width, first_runs, next_runs, open_questions,
};
pub use repeat::Repeatability;
pub use routes::{RouteDifference, RouteLevel, Routes};
pub use went::{Part, Went};

use crate::campaign::{Campaign, StandsFor};
use crate::regression::{FactorComparisons, FittedModel};
use crate::runs::Runs;

/// What the chemist asked, answered as far as the log goes.
#[derive(Debug, Clone)]
pub struct Answers {
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
    /// Runs that charged residue.
    pub residue_runs: usize,
    /// Factor that stands for residue fed forward.
    pub residue_factor: Option<String>,
}

/// Answers from runs and models.
pub fn answers(
    campaign: &Campaign,
    runs: &Runs,
    models: &[FittedModel],
    comparisons: &[Vec<FactorComparisons>],
) -> Answers {
    let residue_factor = campaign
        .factor_for(StandsFor::Residue)
        .map(|factor| factor.name.clone());
    let confidence = campaign
        .model
        .as_ref()
        .map_or(0.95, |model| model.confidence);
    let routes = routes::routes(campaign, runs, models, comparisons);
    Answers {
        given: given::given(runs, routes.as_ref(), confidence),
        budgets: improve::budgets(runs),
        repeatability: repeat::repeatability(campaign, runs),
        measurement_alone: repeat::measurement_alone(runs),
        went: went::went(runs),
        liquors: liquor::liquors(campaign, runs),
        moves: models
            .iter()
            .map(|model| moves::moves(runs, model, margin(campaign, &model.response)))
            .collect(),
        routes,
        residue_runs: residue_factor
            .as_ref()
            .map_or(0, |name| runs_above_zero(runs, name)),
        residue_factor,
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

/// Middle value of a list; between the two middle ones when it is even. `None` of an empty list.
fn middle(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    match values.len() {
        0 => None,
        n if n % 2 == 1 => Some(values[half]),
        _ => Some((values[half - 1] + values[half]) / 2.0),
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
