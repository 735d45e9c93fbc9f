//! Why is there no estimate?
//!
//! In: what stood in the way. Out: [`Refusal`], a typed reason.
//! This module never decides whether something can be estimated.

use super::tangled::Tangled;

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
