//! The history of a campaign: what changed since last time.
//!
//! In: the result of a campaign as data, the lines kept of earlier ones. Out: [`Record`], [`History`], [`Since`].
//! This module never opens a file: the program hands it text and keeps what it gives back.

mod figures;
mod lines;
mod since;
#[cfg(test)]
mod testing;
#[cfg(test)]
mod tests;
mod verdicts;

use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer, Serialize};

use crate::decide::Comparison;
use crate::regression::TermName;

pub use lines::{History, line};
pub use since::{ChangedVerdict, Flag, Moved, ProgramChange, Since};

/// What the inputs of a campaign were, as digests.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Inputs {
    /// Digest of everything that the result depends on, in hexadecimal.
    pub digest: String,
    /// Version of the program.
    pub program: String,
    /// Digest of each part by its name, such as `runs log`, in byte order of the names.
    pub parts: Vec<Part>,
}

/// One part of the inputs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Part {
    /// What it is, such as `runs log`.
    pub name: String,
    /// Its digest, in hexadecimal.
    pub digest: String,
}

/// What is kept of one result of a campaign: enough to say later what changed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Record {
    /// Position in the history of its campaign, from 1.
    pub round: u64,
    /// What the result was worked out from.
    pub inputs: Inputs,
    /// Title of the campaign.
    pub title: String,
    /// Runs of the log in its order, with their contained yield where there is one.
    pub runs: Vec<RunYield>,
    /// Rows that a fault left out.
    pub left_out: Vec<LeftOutRow>,
    /// How many runs are set aside on purpose; none in a record that does not say.
    #[serde(default)]
    pub set_aside: usize,
    /// How many doubts travel with the result.
    pub caveats: usize,
    /// What the result says where it could say something else.
    #[serde(deserialize_with = "those_that_read")]
    pub verdicts: Vec<Verdict>,
    /// Estimates with their uncertainty.
    #[serde(deserialize_with = "those_that_read")]
    pub figures: Vec<Figure>,
    /// Points that a control chart flagged.
    #[serde(deserialize_with = "those_that_read")]
    pub drift: Vec<FlaggedPoint>,
    /// Whether some of these are missing because an earlier version wrote them in a form of its own.
    #[serde(skip)]
    pub is_partial: bool,
}

/// One run and its contained yield.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RunYield {
    /// Name of the run.
    pub run: String,
    /// Contained yield, a fraction.
    pub value: Option<f64>,
    /// Its standard uncertainty.
    pub u: Option<f64>,
}

/// One row of a log that a fault left out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LeftOutRow {
    /// Log that it stands in.
    pub file: String,
    /// Name of its run, where it has one.
    pub run: Option<String>,
    /// What is wrong with it.
    pub reason: String,
}

/// What a result says about one thing that it could say otherwise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Verdict {
    /// What it is about.
    #[serde(rename = "subject")]
    pub about: Decided,
    /// The answer.
    #[serde(rename = "is")]
    pub says: Says,
    /// The interval it rests on, where there is one.
    pub interval: Option<[f64; 2]>,
}

/// What a verdict is about.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Decided {
    /// The best recovery route.
    BestRoute,
    /// Feeding the residue forward.
    Residue,
    /// The best settings.
    BestSettings,
    /// A response at a level against the baseline.
    Level(Compared),
    /// A response as an amount grows, which acts as a straight line by itself.
    Amount {
        /// The response.
        response: String,
        /// The amount.
        amount: String,
    },
    /// Two levels by the margin that does not matter.
    Margin(Compared),
    /// Terms of a response that cannot be told apart.
    Apart {
        /// The response.
        response: String,
        /// The terms.
        terms: Vec<TermName>,
    },
}

/// Two levels of a choice, for one response.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Compared {
    /// The response.
    pub response: String,
    /// The choice.
    pub factor: String,
    /// The level.
    pub level: String,
    /// The other level.
    pub against: String,
}

/// What a verdict says.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Says {
    /// It is settled, for this route or these levels where something was chosen. What was chosen counts only where that is
    /// settled: else it may change with every run.
    Settled(Vec<Choice>),
    /// The difference does not matter, shown by the margin.
    Alike,
    /// It is open.
    NotSettled,
    /// Residue pays.
    Pays,
    /// Residue does not pay.
    DoesNotPay,
    /// The level lies above the other.
    Higher,
    /// It lies below.
    Lower,
    /// The response rises with the amount.
    Rises,
    /// It falls.
    Falls,
    /// The interval holds zero.
    NotToldFromZero,
    /// There is no interval.
    NotKnown,
    /// The levels differ by more than the margin.
    Different,
    /// The runs cannot tell.
    CannotBeToldApart,
}

/// What was chosen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Choice {
    /// The factor; `None` for the recovery route.
    pub factor: Option<String>,
    /// The level.
    pub level: String,
}

/// One estimate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Figure {
    /// What is estimated.
    #[serde(rename = "subject")]
    pub about: Estimated,
    /// Its unit; `1` is a fraction.
    pub unit: String,
    /// Whether it is a level or a difference.
    pub kind: FigureKind,
    /// The estimate.
    pub value: f64,
    /// Its standard uncertainty.
    pub u: Option<f64>,
    /// Its interval.
    pub interval: Option<[f64; 2]>,
}

/// What is estimated.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Estimated {
    /// The adjusted mean of a response at a level.
    Mean {
        /// The response.
        response: String,
        /// The choice.
        factor: String,
        /// The level.
        level: String,
    },
    /// The mean of a response whose model has its constant alone.
    Overall {
        /// The response.
        response: String,
    },
    /// The change of a response in going from one setting to another, all else at the reference mix.
    Change {
        /// The response.
        response: String,
        /// What is changed.
        factor: String,
        /// Unit of an amount.
        unit: String,
        /// From where to where.
        #[serde(flatten)]
        comparison: Comparison,
    },
    /// A figure of a recovery route.
    OfRoute {
        /// Which.
        what: OfRoute,
        /// The route.
        route: String,
    },
    /// The gain of feeding the residue forward, per run.
    Gain,
    /// The response at the best settings.
    AtBest {
        /// The response.
        response: String,
    },
    /// The concentration of a titrant.
    Titrant {
        /// The titrant.
        titrant: String,
    },
}

/// A figure of a recovery route.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum OfRoute {
    /// Its yield.
    Yield,
    /// Its purity.
    Purity,
    /// Its cost.
    Cost,
    /// Its labour.
    Labour,
}

/// How an estimate is to be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FigureKind {
    /// A value of its own.
    Level,
    /// A difference between two values.
    Difference,
}

/// A point that a control chart flags.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct FlaggedPoint {
    /// What is charted.
    pub response: String,
    /// Kind of the chart.
    pub chart: String,
    /// The run or the standardisation.
    pub run: String,
}

/// The entries of a list that can be read: a record of an earlier version keeps what it shares with this one.
fn those_that_read<'de, D, T>(deserializer: D) -> Result<Vec<T>, D::Error>
where
    D: Deserializer<'de>,
    T: DeserializeOwned,
{
    let entries = Vec::<serde_json::Value>::deserialize(deserializer)?;
    let read = entries.into_iter().map(serde_json::from_value);
    Ok(read.filter_map(Result::ok).collect())
}
