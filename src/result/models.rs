//! Models in a result: terms, means, comparisons.
//!
//! In: finished figures. Out: what is serialised under `models`.
//! This module never computes.

use serde::Serialize;
use serde_json::Value;

use super::figures::{Ends, Named};
use crate::regression::{Comparison, ResponseScale, TermName};

/// The model of one response.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Model {
    /// Name of the response.
    pub response: String,
    /// Its unit.
    pub unit: String,
    /// `measured` or `plain`.
    pub method: String,
    /// `plain` or `logit`.
    pub scale: ResponseScale,
    /// Runs used, residual degrees of freedom and scatter, the same of runs left out, shares of the sum of squares
    /// explained, sums of squares, ratio of mean squares with its chance, correlation of neighbouring residuals.
    #[serde(flatten)]
    pub fit: Value,
    /// Terms that can be estimated.
    pub terms: Vec<Term>,
    /// Terms that cannot, in groups.
    pub not_separable: Vec<NotSeparable>,
    /// One test an effect.
    pub tests: Value,
    /// Means of the levels of each choice.
    pub adjusted_means: Named<Vec<LevelMean>>,
    /// Each pair of levels once.
    pub comparisons: Vec<Comparison>,
    /// Each level against the baseline.
    pub against_baseline: Vec<Comparison>,
    /// Where the scatter comes from: `run to run`, `measurement`, or the name of a block.
    pub variance_components: Value,
    /// Whether the fit can be trusted: `standing` is `fine`, `noticed`, `failed` or `not_judged`.
    pub diagnostics: Value,
    /// Pairs of levels against the margin.
    pub alike: Vec<Alike>,
    /// Models with further terms, the best first.
    pub candidates: Value,
    /// The mean over each factor, everything else at the reference mix: `at` an amount or a level, `value`, `u`, `interval`.
    pub over: Named<Value>,
}

/// One term.
#[derive(Debug, Clone, Serialize)]
pub struct Term {
    /// How it is written.
    pub term: String,
    /// What it is a product of; nothing for the constant.
    pub pieces: TermName,
    /// Its value.
    pub value: f64,
    /// Its standard error.
    pub u: Option<f64>,
    /// Degrees of freedom of that.
    pub df: f64,
    /// Value over standard error.
    pub t: Option<f64>,
    /// Chance of such a ratio when the true value is zero.
    pub p: Option<f64>,
    /// Its interval.
    pub interval: Ends,
}

/// Terms that cannot be told apart.
#[derive(Debug, Clone, Default, Serialize)]
pub struct NotSeparable {
    /// How the terms are written.
    pub terms: Vec<String>,
    /// The same as pieces.
    pub pieces: Vec<TermName>,
    /// What was seen.
    pub why: String,
    /// Runs that would tell.
    pub runs_that_would_separate: Vec<String>,
}

/// The mean of one level, all else at the reference mix.
#[derive(Debug, Clone, Serialize)]
pub struct LevelMean {
    /// The level.
    pub level: String,
    /// Its mean.
    pub value: Option<f64>,
    /// Its standard error.
    pub u: Option<f64>,
    /// Its interval.
    pub interval: Ends,
    /// Why there is no mean.
    pub reason: Option<String>,
}

/// Two levels against the margin.
#[derive(Debug, Clone, Serialize)]
pub struct Alike {
    /// The choice.
    pub factor: String,
    /// One level.
    pub level: String,
    /// The other.
    pub against: String,
    /// The margin.
    pub margin: f64,
    /// Chance of looking so alike when they differ by it.
    pub p: Option<f64>,
    /// Whether they are alike; null where that is not settled.
    pub inside: Option<bool>,
}
