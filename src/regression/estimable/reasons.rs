//! Reasons why there is no estimate, and runs that would help.
//!
//! In: what stood in the way. Out: [`Refusal`] and [`NotSeparable`], typed reasons.
//! This module never decides whether something can be estimated.

use crate::regression::asked::{TermName, TermPiece};

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

/// Terms that the runs cannot tell apart.
#[derive(Debug, Clone, PartialEq)]
pub struct NotSeparable {
    /// The terms, and the block level that hides behind them if there is one.
    pub terms: Vec<TermName>,
    /// What was seen.
    pub why: Tangled,
    /// Runs that would tell them apart; any one of them helps.
    pub runs_that_would_separate: Vec<Proposal>,
}

/// What was seen of terms that cannot be told.
#[derive(Debug, Clone, PartialEq)]
pub enum Tangled {
    /// No run was made at these levels.
    NeverRun(TermName),
    /// An amount took so few values that its terms cannot be told.
    Values {
        /// Name of the amount.
        amount: String,
        /// The different values, in ascending order.
        values: Vec<f64>,
    },
    /// No run shows the term.
    NotShown(TermName),
    /// These only ever changed together.
    OnlyTogether(Vec<TermName>),
}

/// Runs that would tell apart what is tangled; those of one proposal differ in what is not named.
#[derive(Debug, Clone, PartialEq)]
pub enum Proposal {
    /// Change one of the terms without the others: no single change of a run made is enough.
    OneWithoutTheOthers,
    /// A run at a level, with another choice at one of these levels.
    Beside {
        /// The level.
        level: TermPiece,
        /// The other choice.
        choice: String,
        /// Its levels, any of which would do.
        levels: Vec<String>,
    },
    /// A run at these levels together.
    Levels(Vec<TermPiece>),
    /// A run with an amount at another of the values that it has in the log.
    At {
        /// Levels that it needs, if any.
        levels: Vec<TermPiece>,
        /// The amount.
        amount: String,
        /// Its values, in ascending order, any of which would do.
        values: Vec<f64>,
        /// Other amounts that must stand at a value, because elsewhere the run would not tell.
        with: Vec<AmountAt>,
    },
    /// A run with an amount at a value that no run has: none of those in the log would tell.
    Moved {
        /// Levels that it needs, if any.
        levels: Vec<TermPiece>,
        /// The amount.
        amount: String,
        /// Values that the runs at these levels have, in ascending order: the amount is to take another.
        away_from: Vec<f64>,
        /// Other amounts that must stand at a value, because elsewhere the move would not tell.
        with: Vec<AmountAt>,
    },
}

/// An amount at a value.
#[derive(Debug, Clone, PartialEq)]
pub struct AmountAt {
    /// Name of the amount.
    pub amount: String,
    /// The value, in the unit of the amount.
    pub value: f64,
}
