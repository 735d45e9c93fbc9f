//! What is asked of a model.
//!
//! In: nothing of its own. Out: [`ModelParams`], which can be wrong.
//! This module never fits, and never repairs what was asked.

use std::fmt;

use super::scale::ResponseScale;

/// What is asked of a model; can be wrong.
///
/// `y = β₀ + Σ β_f x_f + Σ β_fk x_f^k + Σ β_s Π x_f + e`: the constant, the effects, the powers of curved amounts and
/// the products of joint ones. `x_f` is an amount, or 1 at a level of a choice besides its baseline, else 0.
/// # Units and shapes
/// The response in `unit`; a coefficient in that unit per unit of each amount in its term.
#[derive(Debug, Clone)]
pub struct ModelParams {
    /// Name of the response.
    pub response: String,
    /// Unit of the response.
    pub unit: String,
    /// Factors that act each on its own.
    pub effects: Vec<String>,
    /// Sets of factors that change one another's effect; any length, any mix of amounts and choices.
    pub joint: Vec<Vec<String>>,
    /// Amounts among the effects whose effect is curved.
    pub curved: Vec<Curve>,
    /// Choices whose levels share an error, such as lots: random in the measured fit, and not used by the plain one.
    pub blocks: Vec<String>,
    /// Whether the model has a constant term.
    pub constant: Constant,
    /// Chance that an interval covers what it is about, between 0 and 1.
    pub confidence: f64,
    /// How it is to be fitted.
    pub method: Method,
    /// On which scale it is fitted.
    pub scale: ResponseScale,
}

/// An amount with all its powers from 2 up to `power` in the model: `β₂ x² + … + β_power x^power` beside its effect.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Curve {
    /// Name of the amount.
    pub factor: String,
    /// Highest power, at least 2.
    pub power: u32,
}

/// How a model is fitted.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Method {
    /// Ordinary least squares: all runs count the same, and their errors are independent.
    Plain,
    /// Generalised least squares with what is known of the measurement, blocks as random, and variances by restricted
    /// likelihood.
    #[default]
    Measured,
}

impl fmt::Display for Method {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Method::Plain => "plain",
            Method::Measured => "measured",
        })
    }
}

/// Whether a model has a constant term.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Constant {
    /// The response may differ from zero where all effects are zero.
    Present,
    /// The response is zero where all effects are zero.
    Absent,
}
