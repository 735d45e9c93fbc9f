//! What cannot be told apart, why, and which runs would tell it?
//!
//! In: the relations of a design and the runs. Out: [`NotSeparable`], typed.
//! This module never decides what can be estimated.

use std::collections::BTreeSet;

use super::data::FitData;
use super::separation::Relation;
use super::term::{Column, Design, Piece, TermName, TermPiece};

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
    /// A run with an amount moved.
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

/// A relation with the factors that it is about.
pub(crate) struct Tangle<'a> {
    pub relation: &'a Relation,
    pub design: &'a Design,
    pub data: &'a FitData,
    pub factors: Vec<usize>,
}

impl<'a> Tangle<'a> {
    pub fn new(relation: &'a Relation, design: &'a Design, data: &'a FitData) -> Self {
        let mut tangle = Self {
            relation,
            design,
            data,
            factors: Vec::new(),
        };
        let factors: BTreeSet<usize> = tangle.pieces().into_iter().map(Piece::factor).collect();
        tangle.factors = factors.into_iter().collect();
        tangle
    }

    /// The relation with what was seen and what would help.
    pub fn describe(&self) -> NotSeparable {
        NotSeparable {
            terms: self.terms(),
            why: self.why(),
            runs_that_would_separate: self.proposals(),
        }
    }

    fn terms(&self) -> Vec<TermName> {
        let own = self.columns().map(|(column, _)| column.name.clone());
        let ghost = self.relation.ghost.iter();
        let ghost = ghost.map(|ghost| TermName::of(ghost.piece().named(&self.data.factors)));
        own.chain(ghost).collect()
    }

    /// What was seen.
    pub fn why(&self) -> Tangled {
        let mut terms = self.terms();
        let only = (terms.len() == 1).then(|| terms.pop()).flatten();
        if let [factor] = self.factors[..]
            && self.data.factors[factor].amounts().is_some()
        {
            return Tangled::Values {
                amount: self.data.factors[factor].name.clone(),
                values: self.data.factors[factor].distinct_amounts(),
            };
        }
        match only {
            Some(only) if self.choices_only() => Tangled::NeverRun(only),
            Some(only) => Tangled::NotShown(only),
            None => Tangled::OnlyTogether(terms),
        }
    }

    /// The columns of the relation with their change.
    pub fn columns(&self) -> impl Iterator<Item = (&'a Column, f64)> {
        let changes = self.relation.natural.iter().copied();
        self.design
            .columns
            .iter()
            .zip(changes)
            .filter(|&(_, change)| change != 0.0)
    }

    /// The pieces of the relation in the order of its terms, the block level last.
    pub fn pieces(&self) -> Vec<Piece> {
        let own = self
            .columns()
            .flat_map(|(column, _)| column.pieces.iter().copied());
        own.chain(self.relation.ghost.iter().map(|ghost| ghost.piece()))
            .collect()
    }

    pub fn choices_only(&self) -> bool {
        self.factors
            .iter()
            .all(|&factor| self.data.factors[factor].amounts().is_none())
    }
}
