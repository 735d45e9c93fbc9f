//! Campaign file that can't be wrong any more.
//!
//! In: checked tables. Out: [`Campaign`].
//! This module never checks a key.

use super::aims::{Aim, Drift, Solubility};
use super::basics::{Chemistry, Logs};
use super::columns::ColumnMapping;
use super::factors::{FactorPlan, Oxidant, OxidantImpurity, ResponsePlan, StandsFor};
use super::ignition::Ignition;
use super::impurities::FollowedImpurity;
use super::keys::USUAL_CONFIDENCE;
use super::limits::Limits;
use super::model::ModelPlan;
use super::money::{Prices, ReagentPrice, Recycling};
use super::routes::RoutePlan;
use super::second::SecondElement;
use super::titration::Titration;
use super::uncertainty::UncertaintyPlan;

/// A campaign file in which every key was understood and every relation between keys holds.
#[derive(Debug, Clone)]
pub struct Campaign {
    /// Name of the file, for messages.
    pub file: String,
    /// Title of the campaign.
    pub title: String,
    /// Product, followed element and assay formula; absent for a plain regression on logged columns.
    pub chemistry: Option<Chemistry>,
    /// Least purity that the product must have [mass fraction].
    pub purity_spec: Option<f64>,
    /// Whether a crop without an assay has the purity that moisture and impurities leave.
    pub by_difference: bool,
    /// Where the logs are and how they are written.
    pub logs: Logs,
    /// The user's own headings.
    pub columns: Vec<ColumnMapping>,
    /// The oxidant, if one is followed.
    pub oxidant: Option<Oxidant>,
    /// What was varied on purpose, in the order of the file.
    pub factors: Vec<FactorPlan>,
    /// Logged columns that are responses.
    pub responses: Vec<ResponsePlan>,
    /// The models asked for.
    pub model: Option<ModelPlan>,
    /// Uncertainties for logs without a `u_` column.
    pub uncertainty: UncertaintyPlan,
    /// How titres become purity.
    pub titration: Option<Titration>,
    /// How masses of an ignition become purity.
    pub ignition: Option<Ignition>,
    /// Prices.
    pub prices: Option<Prices>,
    /// How residue would be fed forward.
    pub recycling: Option<Recycling>,
    /// Solubility of the product.
    pub solubility: Option<Solubility>,
    /// Routes that can be foreseen without a run, in the order of the file.
    pub routes: Vec<RoutePlan>,
    /// Impurities that are followed, in the order of the file.
    pub impurities: Vec<FollowedImpurity>,
    /// Further elements of the feed that are worth something, in the order of the file.
    pub second: Vec<SecondElement>,
    /// Temperature above which time counts as soaking \[degC\].
    pub soak_above: Option<f64>,
    /// Lots at hand for the next runs; `None` when nothing is said of them.
    pub shelf: Option<Vec<ShelfLot>>,
    /// What "best" means.
    pub aim: Aim,
    /// Combinations never to be proposed.
    pub limits: Limits,
    /// Entries that are right although unlikely, each by its run and column.
    pub accepted: Vec<String>,
    /// What is known of the process in control.
    pub drift: Drift,
    /// Reagents whose cautions open each report.
    pub hazards: Vec<String>,
}

/// A lot at hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShelfLot {
    /// Its name.
    pub lot: String,
    /// Line of the campaign file.
    pub line: usize,
}

impl Campaign {
    /// Coverage of all intervals; 0.95 where the file states none.
    pub fn confidence(&self) -> f64 {
        let stated = self.model.as_ref().map(|model| model.confidence);
        stated.unwrap_or(USUAL_CONFIDENCE)
    }

    /// The factor that stands for something, such as the recovery route.
    pub fn factor_for(&self, meaning: StandsFor) -> Option<&FactorPlan> {
        let mut factors = self.factors.iter();
        factors.find(|factor| factor.stands_for == Some(meaning))
    }

    /// The level that a text in a column of the runs log stands for: the text itself, unless `same_as` says another.
    pub fn level_of<'t>(&'t self, column: &str, text: &'t str) -> &'t str {
        let mut plans = self.factors.iter();
        let meant = plans.find_map(|plan| plan.meant_by(text).filter(|_| plan.column() == column));
        meant.unwrap_or(text)
    }

    /// Whether `same_as` joins spellings in a column of the runs log.
    pub fn has_spellings(&self, column: &str) -> bool {
        let mut plans = self.factors.iter();
        plans.any(|plan| plan.column() == column && !plan.same_as.is_empty())
    }

    /// What prose calls a factor or a response: as `called` says, else its name with blanks for underscores.
    pub fn called(&self, name: &str) -> String {
        let factors = self.factors.iter().map(|plan| (&plan.name, &plan.called));
        let responses = self.responses.iter().map(|plan| (&plan.name, &plan.called));
        let mut plans = factors.chain(responses);
        let stated = plans.find_map(|(of, called)| called.clone().filter(|_| of == name));
        stated.unwrap_or_else(|| name.replace('_', " "))
    }

    /// Impurities of the feed that use up oxidant.
    pub fn burnt(&self) -> impl Iterator<Item = &OxidantImpurity> {
        self.oxidant.iter().flat_map(|oxidant| &oxidant.impurities)
    }

    /// Name of the currency; empty without prices.
    pub fn currency(&self) -> &str {
        let prices = self.prices.as_ref();
        prices.map_or("", |prices| &prices.currency)
    }

    /// Reagents with a price besides feed and oxidant.
    pub fn reagents(&self) -> impl Iterator<Item = &ReagentPrice> {
        self.prices.iter().flat_map(|prices| &prices.other)
    }

    /// What is stated of titrations; `None` without it, or without `[titration]`.
    pub fn of_titration<'c, T>(
        &'c self,
        stated: impl FnOnce(&'c Titration) -> Option<T>,
    ) -> Option<T> {
        self.titration.as_ref().and_then(stated)
    }

    /// The factor of this name.
    pub fn factor(&self, name: &str) -> Option<&FactorPlan> {
        self.factors.iter().find(|factor| factor.name == name)
    }
}
