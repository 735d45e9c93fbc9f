//! Tests that close an answer: of what it rests on, one does not look as the model says.
//!
//! In: diagnostics of the models, and models with a term more. Out: the [`Gate`]s that closed.
//! This module never closes by a single run: large leverage or distance nominates runs to be left out elsewhere.

use super::otherwise::{OtherModels, Otherwise};
use crate::decide::evidence::{Material, margin};
use crate::decide::models::ModelOf;
use crate::distributions::coverage_factor;
use crate::regression::{Diagnostic, DiagnosticKind, FittedModel};

/// Chance that gates of one kind close an answer by luck, all tests of that kind counted together.
pub const LUCK_OF_A_GATE: f64 = 0.01;
/// A term is shown to be too small to matter by an interval of this confidence.
const SHOWN_SMALL: f64 = 0.9;

/// A test that closed.
#[derive(Debug, Clone, PartialEq)]
pub enum Gate {
    /// The runs lie further from the model of this response than repeats from one another.
    LackOfFit {
        /// The response.
        response: String,
        /// Chance of as much by luck.
        p: f64,
    },
    /// The effect of an amount on this response bends, and the model has it straight.
    Bend {
        /// The response.
        response: String,
        /// The amount.
        amount: String,
        /// Chance of as much by luck.
        p: f64,
    },
    /// Two factors change one another's effect on this response, and the model has them apart.
    Joint {
        /// The response.
        response: String,
        /// The factors.
        factors: [String; 2],
        /// Chance of as much by luck.
        p: f64,
    },
}

/// The gates that closed for an answer that rests on these models, and on these ways of fitting otherwise.
pub(super) fn closed(
    material: &Material,
    diagnostics: &[Vec<Diagnostic>],
    responses: &[ModelOf],
    others: &[&OtherModels],
) -> Vec<Gate> {
    let models = material.models.responses.iter().zip(diagnostics);
    let rested = models.filter(|(of, _)| responses.contains(&of.kind));
    let level = |tests: usize| LUCK_OF_A_GATE / tests.max(1) as f64;
    let count = rested.clone().count();
    let mut found: Vec<Gate> = rested
        .filter_map(|(of, diagnostics)| {
            let mut all = diagnostics.iter();
            let lack = all.find(|found| found.what == DiagnosticKind::LackOfFit)?;
            let p = lack.p.filter(|p| *p < level(count))?;
            let response = of.kind.name().to_string();
            Some(Gate::LackOfFit { response, p })
        })
        .collect();
    let is_bend = |other: &&&OtherModels| matches!(other.how, Otherwise::Bend(_));
    let is_joint = |other: &&&OtherModels| matches!(other.how, Otherwise::Joint(_));
    let bends = others.iter().filter(is_bend).count() * responses.len();
    let joints = others.iter().filter(is_joint).count() * responses.len();
    for other in others {
        for kind in responses {
            let Some(model) = other.models.response(kind) else {
                continue;
            };
            let response = || kind.name().to_string();
            match &other.how {
                Otherwise::Bend(amount) => {
                    let p = square(model, amount).filter(|p| *p < level(bends));
                    found.extend(p.map(|p| Gate::Bend {
                        response: response(),
                        amount: amount.clone(),
                        p,
                    }));
                }
                Otherwise::Joint(factors) => {
                    let p = joint(model, factors).filter(|p| *p < level(joints));
                    found.extend(p.map(|p| Gate::Joint {
                        response: response(),
                        factors: factors.clone(),
                        p,
                    }));
                }
                _ => {}
            }
        }
    }
    found
}

/// The chance of the square of an amount by luck.
fn square(model: &FittedModel, amount: &str) -> Option<f64> {
    let mut terms = model.terms.iter();
    let square = terms.find(|term| term.name.is_power_of(amount))?;
    square.p
}

/// The chance of a joint effect by luck.
fn joint(model: &FittedModel, factors: &[String; 2]) -> Option<f64> {
    let mut tests = model.tests.iter();
    let test = tests.find(|test| {
        test.factors.len() == 2 && factors.iter().all(|factor| test.factors.contains(factor))
    })?;
    test.p
}

/// Whether a bend was shown to be too small to matter: over the range that was run the curve leaves its chord by less than
/// the margin, `|β₂| (range/2)²` with its interval.
pub(super) fn bend_is_small(material: &Material, other: &OtherModels, kind: &ModelOf) -> bool {
    let Otherwise::Bend(amount) = &other.how else {
        return false;
    };
    let bow = || {
        let margin = margin(material.campaign, kind.name())?;
        let model = other.models.response(kind)?;
        let square = model.terms.iter().find(|t| t.name.is_power_of(amount))?;
        let column = material.runs.factor(amount)?;
        let values = (0..material.runs.results.len()).filter_map(|run| column.amount(run));
        let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
            (low.min(value), high.max(value))
        });
        let factor = coverage_factor(SHOWN_SMALL, square.degrees_of_freedom)?;
        let most = square.value.abs() + factor * square.standard_error?;
        Some(most * ((high - low) / 2.0).powi(2) < margin)
    };
    bow().unwrap_or(false)
}
