//! Can this model be asked of these runs?
//!
//! In: [`ModelParams`], which can be wrong, and the runs. Out: [`ValidModel`], or every fault at once.
//! This module never fits, and never repairs what was asked.

use super::check;
use super::data::FitData;
use super::scale::ResponseScale;
use super::term::{Design, TermName};
use crate::error::Faults;

/// What is asked of a model; can be wrong.
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
    pub method: MethodAsked,
    /// On which scale it is fitted.
    pub scale: ResponseScale,
}

/// An amount with all its powers from 2 up to `power` in the model.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Curve {
    /// Name of the amount.
    pub factor: String,
    /// Highest power, at least 2.
    pub power: u32,
}

/// How a model is to be fitted.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum MethodAsked {
    /// Ordinary least squares.
    Plain,
    /// With what is known of the measurement, and with blocks as random.
    #[default]
    Measured,
}

/// Whether a model has a constant term.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Constant {
    /// The response may differ from zero where all effects are zero.
    Present,
    /// The response is zero where all effects are zero.
    Absent,
}

/// A model that fits the factors it was checked against.
#[derive(Debug, Clone)]
pub struct ValidModel {
    params: ModelParams,
    terms: Vec<TermName>,
}

impl ModelParams {
    /// Checks what is asked against the runs.
    ///
    /// # Errors
    /// Every fault at once: no runs or values that are missing or not finite, unknown or repeated factors,
    /// errors of measurement that are no standard uncertainties of these runs, a curved choice, a block that is an amount or also an effect, a confidence outside (0, 1),
    /// responses that have no place on the scale asked for;
    /// [`crate::error::ErrorKind::Model`] for no terms at all and for more terms than runs.
    pub fn check(self, data: &FitData) -> Result<ValidModel, Faults> {
        let design = check::design(&self, data)?;
        Ok(ValidModel {
            params: self,
            terms: design.columns.into_iter().map(|c| c.name).collect(),
        })
    }
}

impl ValidModel {
    /// What was asked.
    pub fn params(&self) -> &ModelParams {
        &self.params
    }

    /// The names of all terms, estimable or not, in the order of the design.
    pub fn terms(&self) -> &[TermName] {
        &self.terms
    }

    /// The design for these runs, which may be others than those of the check.
    pub(crate) fn design(&self, data: &FitData) -> Result<Design, Faults> {
        check::design(&self.params, data)
    }
}
