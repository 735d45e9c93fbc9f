//! What was found for each question, as far as the log goes.
//!
//! In: the answers of the files beside. Out: [`Findings`].
//! This module never works out an answer.

use super::aim::Gap;
use super::balance::Went;
use super::consumption::PerKilogram;
use super::crops::Crops;
use super::impurities::Impurities;
use super::liquor::Liquors;
use super::moves::Moves;
use super::recycle::{CarriedGain, Recycling, Shelf, Unanswered};
use super::repeatability::Repeatability;
use super::routes::Routes;
use super::settings::BestSettings;
use super::uncertainty_budget::Budget;
use super::yields::Given;

/// What was found for each question, as far as the log goes.
#[derive(Debug, Clone)]
pub struct Findings {
    /// What did the runs give?
    pub given: Option<Given>,
    /// Where does the ± come from: the campaign first, then lot by lot.
    pub budgets: Vec<Budget>,
    /// How well does the method repeat itself?
    pub repeatability: Option<Repeatability>,
    /// Scatter of yields from run to run that measurement alone would cause \[fraction\].
    pub measurement_alone: Option<f64>,
    /// Water, energy and waste of a kilogram of product, where they are logged.
    pub consumption: Vec<PerKilogram>,
    /// What does each crop give, and what is sold of them? None where no crop has a purity.
    pub crops: Option<Crops>,
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
    /// Whether the campaign has to do with residue: a factor stands for it, or a run charged some.
    pub residue_is_asked: bool,
    /// What residue stands on the shelf, where the log names where residue came from.
    pub shelf: Option<Shelf>,
    /// Whether product keeps the limits of its impurities; None where no run tells any.
    pub impurities: Option<Impurities>,
    /// What mother liquor carried on brings, or what is missing to say so; None where no run charged any.
    pub liquor_gain: Option<Result<CarriedGain, Unanswered>>,
    /// Does it pay to feed the residue forward, or what is missing to say so?
    pub recycling: Result<Recycling, Unanswered>,
}
