//! Runs, titrants and control charts in a result.
//!
//! In: finished figures. Out: what is serialised under `campaign`, `yields`, `titrants`, `drift` and `left_out`.
//! This module never computes.

use serde::Serialize;
use serde_json::Value;

use super::figures::Measured;

/// `campaign`: what it is and how many runs it has.
#[derive(Debug, Clone, Default, Serialize)]
pub struct CampaignHead {
    /// Title.
    pub title: String,
    /// Lines of the runs log.
    pub runs: usize,
    /// How many of them are left out; planned runs and superseded lines are counted apart.
    pub left_out: usize,
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

/// A run that is planned in the runs log.
#[derive(Debug, Clone, Serialize)]
pub struct Planned {
    /// The log.
    pub file: String,
    /// Line of the log, from 1.
    pub line: usize,
    /// The run.
    pub run: String,
    /// `planned`, or `planned, or its result is not logged` where no date tells.
    pub status: &'static str,
    /// One key a factor: a number for an amount, text for a level, null where the row does not give it.
    pub settings: Value,
}

/// A line of the runs log in whose place a later version of it counts.
#[derive(Debug, Clone, Serialize)]
pub struct Superseded {
    /// The log.
    pub file: String,
    /// Line of the log, from 1.
    pub line: usize,
    /// The run.
    pub run: String,
    /// Its revision as written.
    pub revision: Option<String>,
    /// The log of the line that counts.
    pub by_file: String,
    /// The line that counts, from 1.
    pub by_line: usize,
}

/// One run on one footing; fractions of theory.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Yield {
    /// Name of the run.
    pub run: String,
    /// Lot or lots, date as written, why it is out of every fit; product as weighed over theory, the feed taken as 100 %
    /// and on the assayed content.
    #[serde(flatten)]
    pub as_weighed: Value,
    /// Pure product over theory, total basis.
    pub contained: Option<Measured>,
    /// The same on the fresh basis; purity of all crops together; the share of the charge that was found and the one that
    /// was not; product that feed, and feed and residue, can give \[g\]; why figures are missing; balance, crops, budget of
    /// the uncertainty, effective degrees of freedom, residue, a simulation beside propagation, the ceiling.
    #[serde(flatten)]
    pub more: Value,
}

/// Strength of one titrant.
#[derive(Debug, Clone, Serialize)]
pub struct Titrant {
    /// Its name.
    pub titrant: String,
    /// Strength [mol/L], the mean of its standardisations.
    pub concentration: Measured,
    /// How its strength on a day comes about: `pooled`, `line` or `between neighbours`.
    pub used: &'static str,
    /// Parts of its variance.
    pub budget: Value,
    /// One entry a row of its log: date as written, strength [mol/L].
    pub rows: Value,
}

/// One chart of one response or titrant.
///
/// `centre` is where the process stands; `lower` and `upper` are the limits of `statistic` after many runs, those at a
/// run stand with its point. Of cumulative sums, `statistic` is the larger of the two, with a minus if it is that of
/// departures downwards; both stand beside it.
#[derive(Debug, Clone, Serialize)]
pub struct Chart {
    /// What is charted.
    pub response: String,
    /// The titrant; null for a response.
    pub titrant: Option<String>,
    /// Unit of the values.
    pub unit: String,
    /// `individuals`, `ewma` or `cusum`.
    pub chart: &'static str,
    /// Centre, standard deviation, where both are from, limits, what is taken out, chances of a flag without drift.
    #[serde(flatten)]
    pub limits: Value,
    /// One point a run.
    pub points: Vec<Point>,
    /// What is out of the ordinary, how the chart is drawn, what it shows; of single values the distances of neighbours.
    #[serde(flatten)]
    pub more: Value,
}

/// One point of a chart.
#[derive(Debug, Clone, Serialize)]
pub struct Point {
    /// The run or the standardisation.
    pub run: String,
    /// Its lot, the value as logged and as charted, the statistic, its limits here.
    #[serde(flatten)]
    pub statistic: Value,
    /// What is out of the ordinary; null where nothing is.
    pub flag: Option<String>,
    /// Of cumulative sums both; of single values the distance from the one before, null for the first.
    #[serde(flatten)]
    pub more: Value,
}
