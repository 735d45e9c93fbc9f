//! Why is there no estimate?
//!
//! In: what stood in the way. Out: [`Refusal`], a typed reason.
//! This module never decides whether something can be estimated.

use std::fmt;

use super::tangled::Tangled;
use super::words::{one_of, quoted};

/// The reason why a model gives no estimate.
#[derive(Debug, Clone, PartialEq)]
pub enum Refusal {
    /// The factor is not part of the model.
    UnknownFactor(String),
    /// The choice has no such level.
    UnknownLevel {
        /// Name of the choice.
        factor: String,
        /// The level asked for.
        level: String,
        /// The levels that there are.
        known: Vec<String>,
    },
    /// A level was asked of an amount.
    NotAChoice(String),
    /// An amount was asked of a choice.
    NotAnAmount(String),
    /// The amount asked for is not a finite number.
    NotANumber(String),
    /// The runs cannot tell it apart from something else; one entry for each thing in the way.
    NotSeparable(Vec<Tangled>),
    /// The result is too large for a number.
    TooLarge,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refusal::UnknownFactor(name) => write!(f, "the model has no factor {}", quoted(name)),
            Refusal::UnknownLevel {
                factor,
                level,
                known,
            } => {
                let names: Vec<String> = known.iter().map(|level| quoted(level)).collect();
                let (level, factor) = (quoted(level), quoted(factor));
                write!(f, "{factor} has no level {level}, only {}", one_of(&names))
            }
            Refusal::NotAChoice(name) => {
                write!(f, "{} is an amount and has no levels", quoted(name))
            }
            Refusal::NotAnAmount(name) => {
                write!(f, "{} is a choice and has no amounts", quoted(name))
            }
            Refusal::NotANumber(name) => {
                write!(f, "the value of {} is not a finite number", quoted(name))
            }
            Refusal::NotSeparable(reasons) => {
                let reasons: Vec<String> = reasons.iter().map(Tangled::to_string).collect();
                write!(f, "{}", reasons.join("; "))
            }
            Refusal::TooLarge => write!(f, "the result is too large for a number"),
        }
    }
}

impl std::error::Error for Refusal {}
