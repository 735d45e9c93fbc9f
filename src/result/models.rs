//! `models`.
//!
//! In: finished figures. Out: what is serialised under this key.
//! This module never computes.

use serde::{Deserialize, Serialize};

use super::{Ends, Named};

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
    pub scale: Scale,
    /// Runs used.
    pub runs: usize,
    /// Runs minus independent terms.
    pub residual_df: usize,
    /// Root of the residual mean square.
    pub residual_sd: Option<f64>,
    /// Root mean square of the error of a run left out.
    pub leave_one_out_sd: Option<f64>,
    /// Share of the sum of squares explained.
    pub r_squared: Option<f64>,
    /// The same from mean squares.
    pub adjusted_r_squared: Option<f64>,
    /// The same from errors of runs left out.
    pub leave_one_out_r_squared: Option<f64>,
    /// Sum of squares explained.
    pub ss_model: f64,
    /// Sum of squares left.
    pub ss_residual: f64,
    /// Ratio of mean squares.
    pub f: Option<f64>,
    /// Chance of such a ratio when nothing has an effect.
    pub f_p: Option<f64>,
    /// Correlation of neighbouring residuals.
    pub lag1: Option<f64>,
    /// Terms that can be estimated.
    pub terms: Vec<Term>,
    /// Terms that cannot, in groups.
    pub not_separable: Vec<NotSeparable>,
    /// One test an effect.
    pub tests: Vec<Test>,
    /// Means of the levels of each choice.
    pub adjusted_means: Named<Vec<LevelMean>>,
    /// Each pair of levels once.
    pub comparisons: Vec<Comparison>,
    /// Each level against the baseline.
    pub against_baseline: Vec<Comparison>,
    /// Where the scatter comes from.
    pub variance_components: Vec<Scatter>,
    /// Whether the fit can be trusted.
    pub diagnostics: Vec<Diagnostic>,
    /// Pairs of levels against the margin.
    pub alike: Vec<Alike>,
    /// Models with further terms, the best first.
    pub candidates: Vec<Candidate>,
}

/// On which scale a model is fitted.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Scale {
    /// That of the response.
    #[default]
    Plain,
    /// That of its logit.
    Logit,
}

/// One term.
#[derive(Debug, Clone, Serialize)]
pub struct Term {
    /// How it is written.
    pub term: String,
    /// What it is a product of; nothing for the constant.
    pub pieces: Vec<Piece>,
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

/// One part of a term.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Piece {
    /// An amount to a power.
    Power {
        /// Name of the amount.
        factor: String,
        /// The power.
        power: u32,
    },
    /// A level of a choice.
    Level {
        /// Name of the choice.
        factor: String,
        /// The level.
        level: String,
    },
}

impl Piece {
    /// Name of the factor that it is about.
    pub fn factor(&self) -> &str {
        match self {
            Piece::Power { factor, .. } | Piece::Level { factor, .. } => factor,
        }
    }
}

/// Terms that cannot be told apart.
#[derive(Debug, Clone, Default, Serialize)]
pub struct NotSeparable {
    /// How the terms are written.
    pub terms: Vec<String>,
    /// The same as pieces.
    pub pieces: Vec<Vec<Piece>>,
    /// What was seen.
    pub why: String,
    /// Runs that would tell.
    pub runs_that_would_separate: Vec<String>,
}

/// The test of one effect.
#[derive(Debug, Clone, Serialize)]
pub struct Test {
    /// How the effect is written.
    pub factor: String,
    /// Its factors.
    pub factors: Vec<String>,
    /// Terms that it adds.
    pub df: usize,
    /// Degrees of freedom of the denominator.
    pub denominator_df: Option<f64>,
    /// Sum of squares.
    pub ss: f64,
    /// Ratio of mean squares.
    pub f: Option<f64>,
    /// Chance of it when there is no effect.
    pub p: Option<f64>,
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

/// The difference of two levels.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Comparison {
    /// The choice.
    pub factor: String,
    /// The level that counts positive.
    pub level: String,
    /// The level that is taken off.
    pub against: String,
    /// The difference.
    pub value: f64,
    /// Its standard error.
    pub u: Option<f64>,
    /// Interval that allows for all of the set.
    pub interval: Ends,
    /// Chance that allows for all of the set.
    pub p: Option<f64>,
    /// Degrees of freedom.
    pub df: f64,
    /// Standard errors to either side.
    pub critical_value: Option<f64>,
    /// Numerical error of that, relative to it.
    pub numerical_error: Option<f64>,
}

/// One part of the scatter.
#[derive(Debug, Clone, Serialize)]
pub struct Scatter {
    /// `run to run`, `measurement`, or the name of a block.
    pub name: String,
    /// The block, where it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub block: Option<String>,
    /// Standard deviation.
    pub sd: f64,
    /// Its interval.
    pub interval: Ends,
}

/// One question about a fit.
#[derive(Debug, Clone, Serialize)]
pub struct Diagnostic {
    /// What the figure is.
    pub name: &'static str,
    /// The figure.
    pub value: Option<f64>,
    /// Its chance when nothing is wrong.
    pub p: Option<f64>,
    /// Whether it calls for a look: `fine`, `noticed`, `failed` or `not_judged`.
    pub standing: &'static str,
    /// What it says.
    pub verdict: String,
    /// The runs concerned.
    pub runs: Vec<String>,
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

/// A model with further terms.
#[derive(Debug, Clone, Serialize)]
pub struct Candidate {
    /// What is added.
    pub added: Vec<String>,
    /// Corrected criterion.
    pub aicc: f64,
    /// The same above that of the best.
    pub delta: f64,
    /// Root mean square of the error of a run left out.
    pub leave_one_out_sd: Option<f64>,
    /// Root of the residual mean square.
    pub residual_sd: Option<f64>,
    /// Runs minus independent terms.
    pub residual_df: usize,
}
