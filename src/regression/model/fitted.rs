//! The fitted model: what the fit found.
//!
//! In: nothing of its own. Out: [`FittedModel`] and the parts of it that others read.
//! This module never computes.

use super::estimates::Machinery;
use super::means::AdjustedMeans;
use crate::caveat::Caveat;
use crate::regression::asked::{Method, ResponseScale, TermName};
use crate::regression::estimable::NotSeparable;
use crate::regression::estimate::Interval;
use crate::regression::measured::{Component, ScatterByLevel};
use crate::regression::plain::EffectTest;

/// One term of the model, in natural units of the factors.
///
/// Where [`FittedModel::scale`] is the logit, all figures of a term are of `z = ln(y / (1 − y))`: `exp(value)` is the
/// factor by which the odds `y / (1 − y)` change per unit of each amount in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Term {
    /// What it is a product of.
    pub name: TermName,
    /// Value, in the unit of the response per unit of each amount in it.
    pub value: f64,
    /// Standard error, in the same unit; None without residual degrees of freedom.
    pub standard_error: Option<f64>,
    /// Degrees of freedom of the standard error.
    pub degrees_of_freedom: f64,
    /// Value divided by its standard error; None if the fit is perfect.
    pub t: Option<f64>,
    /// Two-sided chance of such a `t` when the true value is zero.
    pub p: Option<f64>,
    /// Interval at the confidence of the model.
    pub interval: Option<Interval>,
}

/// A fitted model: what it found, and what can be asked of it.
///
/// `y = X β + e`, with `y` the response of each run, `X` the terms and `e` errors; `p` terms include the constant.
/// In a plain fit the covariance of `e` is `σ² I`; in a measured one it is `σ² I + U + Σ σ_b² Z_b Z_bᵀ`, with `U` that
/// of the measurement at the fitted values and `Z_b` the levels of each block; where the residuals show that levels of a
/// choice scatter differently, each level has a `σ²` of its own.
/// On the logit scale `y` in these is `z = ln(y / (1 − y))`, see [`ResponseScale`]. Fitted values, residuals and the two
/// standard deviations below are brought back to the unit of the response; leverages, sums of squares, their shares, `f`,
/// `lag1`, terms and tests are those of `z`.
/// What cannot be told is None or a [`crate::regression::Refusal`], never zero or an infinite number.
///
/// # Assumes
/// A plain fit: the errors of the runs are independent and equally large. A measured fit: they are so apart from what the
/// measurement and the blocks explain. Errors are normal where chances and intervals are given.
/// # Source
/// Searle, Linear Models, 1971, chapter 3. Checked against the NIST Statistical Reference Datasets.
#[derive(Debug, Clone)]
pub struct FittedModel {
    /// Name of the response.
    pub response: String,
    /// Unit of the response.
    pub unit: String,
    /// How it was fitted.
    pub method: Method,
    /// On which scale it was fitted.
    pub scale: ResponseScale,
    /// Confidence of all intervals, between 0 and 1.
    pub confidence: f64,
    /// Names of the runs, in run order.
    pub runs: Vec<String>,
    /// Fitted value of each run from the terms alone, in the unit of the response; on the logit scale brought back.
    pub fitted: Vec<f64>,
    /// Response minus fitted value of each run, in the unit of the response.
    pub residuals: Vec<f64>,
    /// Share of what each run alone tells, given all others, that the terms take up, between 0 and 1;
    /// in a plain fit the weight of each run in its own fitted value.
    pub leverages: Vec<f64>,
    /// Independent terms, the constant included.
    pub rank: usize,
    /// Independent terms besides the constant: the degrees of freedom of the model.
    pub model_df: usize,
    /// Runs minus independent terms.
    pub residual_df: usize,
    /// Root of the residual mean square, measurement and blocks included, in the unit of the response, also on the
    /// logit scale: `√(Σ (y − fitted)² / residual_df)`;
    /// None without residual degrees of freedom.
    pub residual_sd: Option<f64>,
    /// Root mean square of the error at each run when it is left out and the variances stay, in the unit of the response; None if a run is fitted by itself alone.
    pub leave_one_out_sd: Option<f64>,
    /// Share of the sum of squares that the model explains; about zero without a constant, else about the mean.
    pub r_squared: Option<f64>,
    /// The same from mean squares, so that useless terms lower it.
    pub adjusted_r_squared: Option<f64>,
    /// The same from the errors of runs left out.
    pub leave_one_out_r_squared: Option<f64>,
    /// Sum of squares that the model explains, in the squared unit of the response; of `z` on the logit scale.
    pub ss_model: f64,
    /// Sum of squared residuals, in the squared unit of the response; of those of `z` on the logit scale.
    pub ss_residual: f64,
    /// Ratio of the mean squares of model and residuals, in a measured fit that of Kenward and Roger; None if the fit is perfect.
    pub f: Option<f64>,
    /// Degrees of freedom of its denominator.
    pub f_denominator_df: Option<f64>,
    /// Chance of a ratio of at least `f` when nothing has an effect.
    pub f_p: Option<f64>,
    /// Correlation of each residual with the next in run order; None if the fit is perfect or has fewer than three runs.
    pub lag1: Option<f64>,
    /// The terms that can be estimated, in the order of the design.
    pub terms: Vec<Term>,
    /// The terms that cannot, in groups.
    pub not_separable: Vec<NotSeparable>,
    /// One test for each effect and joint effect.
    pub tests: Vec<EffectTest>,
    /// Means of the levels of each choice among the effects, at the reference mix of all else.
    pub adjusted_means: Vec<AdjustedMeans>,
    /// Where the scatter of the runs comes from: run to run, each block, and the measurement.
    pub variance_components: Vec<Component>,
    /// What runs scatter at each level of the choice whose levels differ in that; None where scatter is even as far as
    /// the runs tell, and in a plain fit, which takes it to be even.
    pub uneven: Option<ScatterByLevel>,
    /// Doubts about the fit.
    pub caveats: Vec<Caveat>,
    pub(crate) machinery: Machinery,
}

impl FittedModel {
    /// The estimable term with these pieces.
    pub fn term(&self, name: &TermName) -> Option<&Term> {
        self.terms.iter().find(|term| term.name == *name)
    }
}
