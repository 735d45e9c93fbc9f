//! What cannot be told apart, why, and which runs would tell it?
//!
//! In: the relations of a design and the runs. Out: [`NotSeparable`], in words.
//! This module never decides what can be estimated.

use std::collections::BTreeSet;

use super::data::FitData;
use super::separation::Relation;
use super::term::{Column, Design, Piece};
use super::words::{all_of, quoted};

/// Values of an amount that are listed.
pub(crate) const MOST_VALUES: usize = 5;

/// Terms that the runs cannot tell apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotSeparable {
    /// Names of the terms, and of the block level that hides behind them if there is one.
    pub terms: Vec<String>,
    /// What was seen, in words.
    pub why: String,
    /// Runs that would tell them apart, in words; any one of them helps.
    pub runs_that_would_separate: Vec<String>,
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

    /// The relation in words.
    pub fn describe(&self) -> NotSeparable {
        NotSeparable {
            terms: self.terms(),
            why: self.why(),
            runs_that_would_separate: self.proposals(),
        }
    }

    fn terms(&self) -> Vec<String> {
        let own = self.columns().map(|(column, _)| column.name.clone());
        let ghost = self
            .relation
            .ghost
            .iter()
            .map(|ghost| ghost.piece().name(&self.data.factors));
        own.chain(ghost).collect()
    }

    /// What was seen, in words.
    pub fn why(&self) -> String {
        let terms = self.terms();
        if let ([only], true) = (terms.as_slice(), self.choices_only()) {
            return format!("{} was never run", quoted(only));
        }
        if let [factor] = self.factors[..]
            && self.data.factors[factor].amounts().is_some()
        {
            let name = quoted(&self.data.factors[factor].name);
            let values = self.data.factors[factor].distinct_amounts();
            return match values.as_slice() {
                [only] => format!("{name} was {only} in every run"),
                some if some.len() <= MOST_VALUES => {
                    format!("{name} took only the values {}", all_of(&shown(some)))
                }
                many => format!("{name} took only {} different values", many.len()),
            };
        }
        if let [only] = terms.as_slice() {
            return format!("no run shows {}", quoted(only));
        }
        let names: Vec<String> = terms.iter().map(|term| quoted(term)).collect();
        format!("only ever changed together: {}", all_of(&names))
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

/// Values of an amount as they are read.
pub(crate) fn shown(values: &[f64]) -> Vec<String> {
    values.iter().map(f64::to_string).collect()
}
