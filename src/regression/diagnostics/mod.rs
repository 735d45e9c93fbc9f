//! Diagnostics of a fit: whether it can be believed.
//!
//! In: a checked model, its fit and the runs. Out: [`Diagnostic`]s, each a figure with what it says, as a typed [`Reading`].
//! This module never changes a fit, never leaves a run out of it, and never writes a sentence.

mod collinearity;
mod normality;
mod order;
mod reading;
mod scatter;
mod single_runs;
mod without_runs;

#[cfg(test)]
pub(crate) mod testing;
#[cfg(test)]
mod tests;

use crate::regression::asked::{FitData, Method, ModelParams, ResponseScale, ValidModel};
use crate::regression::model::FittedModel;

pub use collinearity::{
    BADLY_BLURRED, BLURRED, Collinearity, ConditionIndex, STRONGLY_TOGETHER, TOGETHER, TermShare,
    collinearity,
};
pub use normality::{MOST_FOR_NORMALITY, ShapiroWilk, shapiro_wilk};
pub use reading::{
    Change, Changing, DiagnosticKind, Reading, RestingDecision, SideOfModel, Standing, WhyNot,
};
pub use single_runs::{
    APART_LEVERAGE, FAR_LEVERAGE, OWN_REGION, PULLING_DISTANCE, RunInfluence, influences,
};
pub use without_runs::{MOST_REFITS, decisions_without_one_run};

/// One question about a fit: the figure that answers it, and what it says.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnostic {
    /// What the figure is.
    pub what: DiagnosticKind,
    /// The figure; None when it cannot be formed, and the reading says why.
    pub value: Option<f64>,
    /// Chance of a figure at least so far off when nothing is wrong; None where it has no such chance.
    pub p: Option<f64>,
    /// What it says.
    pub reading: Reading,
    /// The runs concerned.
    pub runs: Vec<String>,
}

impl Diagnostic {
    /// A figure without a chance and without runs.
    fn new(what: DiagnosticKind, value: f64, reading: Reading) -> Self {
        Self {
            value: Some(value),
            ..Self::not_formed(what, reading)
        }
    }

    /// A figure that cannot be formed.
    fn not_judged(what: DiagnosticKind, why: WhyNot) -> Self {
        Self::not_formed(what, Reading::NotJudged(why))
    }

    fn not_formed(what: DiagnosticKind, reading: Reading) -> Self {
        Self {
            what,
            value: None,
            p: None,
            reading,
            runs: Vec::new(),
        }
    }

    fn with_p(self, p: Option<f64>) -> Self {
        Self { p, ..self }
    }

    fn about(self, runs: Vec<String>) -> Self {
        Self { runs, ..self }
    }

    /// Whether it calls for a look.
    pub fn standing(&self) -> Standing {
        self.reading.standing()
    }
}

/// The runs that lie further off than chance explains, allowing for all runs; None where that was not judged.
///
/// Whoever marks outliers marks these. A run is among them when the chance of its studentised residual, counted once for
/// each run, lies below `1 − confidence` of the model (Bonferroni).
pub fn called_out(diagnostics: &[Diagnostic]) -> Option<&[String]> {
    diagnostics
        .iter()
        .find_map(|diagnostic| match &diagnostic.reading {
            Reading::RunsBeyondChance { called_out, .. } => Some(called_out.as_slice()),
            Reading::NoRunBeyondChance { .. } => Some(&[][..]),
            _ => None,
        })
}

/// All that a fit can be asked about itself.
///
/// `replicates` lists runs that count as repeats of one another, by position; groups of one and positions without a run are passed over.
/// The level of all tests is `1 − confidence` of the model.
///
/// # Assumes
/// `model` is the fit of `valid` to `data`, whose runs stand in run order.
/// Figures of residuals are those of the plain fit of the same terms, for they were made for independent errors of one size,
/// and those of a model on the logit scale are taken on that scale;
/// decisions without one run are those of the fit as asked, measured or plain.
/// # Source
/// Cook and Weisberg, Residuals and Influence in Regression, 1982; the single figures name their own.
pub fn diagnostics(
    valid: &ValidModel,
    model: &FittedModel,
    data: &FitData,
    replicates: &[Vec<usize>],
) -> Vec<Diagnostic> {
    let refitted = plain_fit(valid, data);
    let (plain, on_scale) = match &refitted {
        Some((plain, on_scale)) => (plain, on_scale),
        None => (model, data),
    };
    let mut found = single_runs::diagnose(plain);
    found.push(scatter::among_repeats(valid, plain, on_scale, replicates));
    found.push(normality::diagnose(plain));
    found.push(scatter::evenness(valid, plain, data));
    found.extend(order::of_residuals(plain));
    found.push(order::of_factors(valid, plain, data));
    found.extend(collinearity::diagnose(valid, data));
    found.push(without_runs::diagnose(valid, model, data));
    found
}

/// The plain fit of a model that is to be fitted otherwise, whose residuals all count the same, with its runs on the scale of the model.
///
/// None if it is plain already or cannot be fitted.
fn plain_fit(valid: &ValidModel, data: &FitData) -> Option<(FittedModel, FitData)> {
    let params = valid.params();
    if params.method == Method::Plain && params.scale == ResponseScale::Plain {
        return None;
    }
    let plain = ModelParams {
        method: Method::Plain,
        scale: ResponseScale::Plain,
        ..params.clone()
    };
    let data = params.scale.data(data).into_owned();
    let model = plain.check(&data).and_then(|valid| valid.fit(&data)).ok()?;
    Some((model, data))
}

/// Whether the residuals say something.
fn has_scatter(model: &FittedModel) -> bool {
    !model.machinery.perfect && model.residual_sd.is_some_and(|sd| sd > 0.0)
}

/// Whether a chance lies below the level of all tests of a model.
fn is_beyond_chance(p: Option<f64>, model: &FittedModel) -> bool {
    p.is_some_and(|p| p < 1.0 - model.confidence)
}
