//! What changed since last time.
//!
//! In: the result of a campaign as JSON, the lines kept of earlier ones. Out: [`Record`], [`History`], [`Since`].
//! This module never opens a file: the program hands it text and keeps what it gives back.

#[cfg(test)]
mod checks;
mod figures;
mod lines;
mod since;
mod verdicts;

use serde::{Deserialize, Serialize};

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
    /// How many doubts travel with the result.
    pub caveats: usize,
    /// What the result says where it could say something else.
    pub verdicts: Vec<Verdict>,
    /// Estimates with their uncertainty.
    pub figures: Vec<Figure>,
    /// Points that a control chart flagged, each as `response, chart, run`.
    pub drift: Vec<String>,
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

/// What a result says about one question.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Verdict {
    /// The question.
    pub about: String,
    /// The answer, in a few fixed words.
    pub says: String,
    /// The interval it rests on, where there is one.
    pub interval: Option<[f64; 2]>,
}

/// One estimate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Figure {
    /// What is estimated.
    pub about: String,
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

/// How an estimate is to be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FigureKind {
    /// A value of its own.
    Level,
    /// A difference between two values.
    Difference,
}
