//! The result of a campaign as data: what `result.json` and `--json` hold, key by key.
//!
//! In: finished figures and texts. Out: [`WholeResult`], which serialises itself.
//! This module never computes a figure, words a sentence or rounds.
//!
//! A key that a call does not compute is absent; one that has no answer is null. Numbers are in the units of the models and
//! logs, fractions as fractions; `u` is a standard uncertainty.

mod models;
mod money;
mod next;
mod process;
mod routes;
mod runs;
mod settings;

use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};

pub use models::{
    Alike, Candidate, Comparison, Diagnostic, LevelMean, Model, NotSeparable, Piece, Scale,
    Scatter, Term, Test,
};
pub use money::{
    AmountFigures, Around, BreakEven, CampaignCost, CostPart, Costs, GainAtLevel, Influence, Kept,
    LongRun, Missing, Money, MoneyMap, Recycling, Residue, ResidueSpecification, ResponseChange,
    RunCost, Settling, Terms,
};
pub use next::{NextRun, NextRunsFor, Power, Width};
pub use process::{Chart, ChartSettings, MovingRange, NotCharted, Point, Rule, Signal};
pub use routes::{
    Aim, Beaten, Difference, Estimated, Gap, LaterCrops, RouteLead, RouteLevel, Routes,
};
pub use runs::{
    Balance, Budget, BudgetShare, Crop, CrossCheck, FirstSource, Titrant, TitrantRow, Yield,
};
pub use settings::{Best, Expected, Present, Setting, Settings, SettingsAt, Standing, Stop};

/// Both ends of an interval; null where there is none.
pub type Ends = Option<[f64; 2]>;

/// A key that a call may not compute, and that may be null where it does.
pub type Maybe<T> = Option<Option<T>>;

/// Everything that is known of a campaign, or the part of it that a call computes.
#[derive(Debug, Clone, Default, Serialize)]
pub struct WholeResult {
    /// Title and runs.
    pub campaign: CampaignHead,
    /// The nine answers, question 3 once for each response.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub answers: Option<Vec<Answer>>,
    /// One entry a run.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub yields: Option<Vec<Yield>>,
    /// One entry a titrant.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub titrants: Option<Vec<Titrant>>,
    /// Where the uncertainty comes from, for the campaign and for each lot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub budgets: Option<Vec<Budget>>,
    /// One entry a response.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub models: Option<Vec<Model>>,
    /// Costs; null without prices.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub costs: Maybe<Costs>,
    /// Whether feeding the residue forward pays.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub recycling: Option<Recycling>,
    /// Runs to make next; null where none can be planned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_runs: Maybe<Vec<NextRun>>,
    /// What they are for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_runs_for: Option<NextRunsFor>,
    /// Recovery routes compared; null where no factor stands for the route.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub routes: Maybe<Routes>,
    /// The best settings; null without a model.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub settings: Maybe<Settings>,
    /// Control charts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub drift: Option<Vec<Chart>>,
    /// What could not be charted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub not_charted: Option<Vec<NotCharted>>,
    /// All doubts.
    pub caveats: Vec<Caveat>,
    /// Rows that were not used.
    pub left_out: Vec<LeftOut>,
}

/// `campaign`: what it is and how many runs it has.
#[derive(Debug, Clone, Default, Serialize)]
pub struct CampaignHead {
    /// Title.
    pub title: String,
    /// Lines of the runs log.
    pub runs: usize,
    /// How many of them are left out.
    pub left_out: usize,
}

/// One of the nine answers.
#[derive(Debug, Clone, Serialize)]
pub struct Answer {
    /// Its number, and of question 3 the response.
    pub question: String,
    /// Where it stands.
    pub status: crate::answers::Status,
    /// The answer in a few sentences.
    pub headline: String,
    /// The figures that it rests on.
    pub figures: Vec<crate::answers::Figure>,
    /// Why it is not settled; null where it is.
    pub reason: Option<String>,
    /// The doubts that touch it, as positions in `caveats`.
    pub doubts: Vec<usize>,
    /// What to log, declare or run.
    pub to_do: Vec<String>,
}

/// One doubt.
#[derive(Debug, Clone, Serialize)]
pub struct Caveat {
    /// What sort it is, a fixed term.
    pub kind: &'static str,
    /// What it touches, in words.
    pub about: String,
    /// The same as data.
    pub subject: Subject,
    /// What was seen.
    pub seen: String,
    /// What to do about it.
    pub advice: String,
}

/// What a doubt touches.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Subject {
    /// The campaign as a whole.
    Campaign {},
    /// A lot.
    Lot(String),
    /// A titrant.
    Titrant(String),
    /// A run.
    Run(String),
    /// The model of a response.
    Response(String),
}

/// One row that was not used.
#[derive(Debug, Clone, Serialize)]
pub struct LeftOut {
    /// The log.
    pub file: String,
    /// Line of the log, from 1.
    pub line: usize,
    /// The run, where it has a name.
    pub run: Option<String>,
    /// What is wrong with it.
    pub reason: String,
    /// What to do.
    pub hint: Option<String>,
    /// Whether it was set aside on purpose.
    pub on_purpose: bool,
}

/// How a lead stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Lead {
    /// It is there, beyond what luck would give.
    Settled,
    /// The difference is shown to be smaller than what matters.
    Alike,
    /// The runs leave it open.
    #[serde(rename = "not settled")]
    NotSettled,
}

/// Whether residue pays.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Pays {
    /// It does.
    Pays,
    /// It does not.
    #[serde(rename = "does not pay")]
    DoesNot,
    /// The runs leave it open.
    #[serde(rename = "not settled")]
    NotSettled,
}

/// A value with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Measured {
    /// The value.
    pub value: f64,
    /// Its standard uncertainty.
    pub u: f64,
}

impl From<&crate::measured::Measured> for Measured {
    fn from(value: &crate::measured::Measured) -> Self {
        Self {
            value: value.value(),
            u: value.uncertainty(),
        }
    }
}

/// Entries under names from the campaign, in their order.
#[derive(Debug, Clone, Default)]
pub struct Named<T>(pub Vec<(String, T)>);

impl<T: Serialize> Serialize for Named<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (name, entry) in &self.0 {
            map.serialize_entry(name, entry)?;
        }
        map.end()
    }
}

impl<T> FromIterator<(String, T)> for Named<T> {
    fn from_iter<I: IntoIterator<Item = (String, T)>>(entries: I) -> Self {
        Self(entries.into_iter().collect())
    }
}
