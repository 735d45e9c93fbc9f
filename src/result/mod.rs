//! The result of a campaign as data: what `result.json` and `--json` hold.
//!
//! In: finished figures and texts. Out: [`WholeResult`], which serialises itself.
//! This module never computes a figure, words a sentence or rounds.
//!
//! A key that a call does not compute is absent; one that has no answer is null. Numbers are in the units of the models and
//! logs, fractions as fractions; `u` is a standard uncertainty. What the history of a campaign reads again has a type here;
//! the rest is written as data where its words are made, in `report/json/`.

mod decisions;
mod figures;
mod models;
mod runs;
mod written;

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use serde_json::Value;

pub use decisions::{
    Best, Change, Expected, Money, Moves, Recycling, RouteLevel, Routes, Settings,
};
pub use figures::{AmountFigures, Ends, Estimated, Maybe, Measured, Named};
pub use models::{Alike, LevelMean, Model, NotSeparable, Term};
pub use runs::{CampaignHead, Chart, LeftOut, Planned, Point, Superseded, Titrant, Yield};
pub use written::text;

/// What a `result.json` says of its report; whatever else it holds is passed over, which takes no memory.
#[derive(Debug, Clone, Deserialize)]
pub struct OfReport {
    /// The campaign file.
    #[serde(default)]
    pub source: Option<String>,
    /// Digest of each other file of the report, by its path.
    #[serde(default)]
    pub manifest: BTreeMap<String, Value>,
}

impl OfReport {
    /// None for what is no such file.
    pub fn read(bytes: &[u8]) -> Option<Self> {
        serde_json::from_slice(bytes).ok()
    }
}

/// Everything that is known of a campaign, or the part of it that a call computes.
#[derive(Debug, Clone, Default, Serialize)]
pub struct WholeResult {
    /// Title and runs.
    pub campaign: CampaignHead,
    /// The nine answers, question 3 once for each response.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub answers: Option<Value>,
    /// One entry a run.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub yields: Option<Vec<Yield>>,
    /// One entry a titrant.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub titrants: Option<Vec<Titrant>>,
    /// Lots of which several assays were combined; absent where each has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lots: Option<Value>,
    /// Elements that are followed besides the first, with what each run gave of their products; absent without any.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub second: Option<Value>,
    /// What the control sample was found at; absent where none was titrated.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub control: Option<Value>,
    /// Where the uncertainty comes from, for the campaign and for each lot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub budgets: Option<Value>,
    /// One entry a response.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub models: Option<Vec<Model>>,
    /// What going from one setting to another does, one entry a response.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moves: Option<Vec<Moves>>,
    /// Crops one by one, and what is sold of them in each way; null where no crop has a purity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crops: Option<Value>,
    /// Impurities of the product by route, all runs first; null where none is followed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub impurities: Option<Value>,
    /// Water, energy and waste of a kilogram of contained product, where they are logged.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub consumption: Option<Value>,
    /// Costs; null without prices.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub costs: Option<Value>,
    /// Whether feeding the residue forward pays.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub recycling: Option<Recycling>,
    /// What mother liquor carried on brings; null where no run charged any.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub liquor: Option<Value>,
    /// Residues as stocks: what each run left, what was charged of it, what should be left.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ledger: Option<Value>,
    /// Runs to make next; null where none can be planned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_runs: Option<Value>,
    /// What they are for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next_runs_for: Option<Value>,
    /// Figures that open decisions rest on, and what repeating their assays would leave of each interval.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub assays_worth_repeating: Option<Value>,
    /// The runs log that they were added to, and their names there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub appended: Option<Value>,
    /// What was never run, foreseen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub foresee: Option<Value>,
    /// What several campaigns say together.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub together: Option<Value>,
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
    pub not_charted: Option<Value>,
    /// All doubts: `kind` a fixed term, `about` what is touched in words and `subject` as data, `seen`, `advice`.
    pub caveats: Vec<Value>,
    /// Entries of logs that are doubted: where, what stands there, how far it can be trusted, and what was likely meant.
    pub slips: Vec<Value>,
    /// Rows that were not used.
    pub left_out: Vec<LeftOut>,
    /// Runs that are planned in the log.
    pub planned: Vec<Planned>,
    /// Lines of the runs log that a later version supersedes.
    pub superseded: Vec<Superseded>,
}
