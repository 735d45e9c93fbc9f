//! Terms that cannot be told apart, and what was seen of them.
//!
//! In: the relations of a design and the runs. Out: [`crate::regression::NotSeparable`], typed.
//! This module never decides what can be estimated.

use super::reasons::Tangled;
use super::separation::Relation;
use crate::regression::asked::{Column, Design, FitData, Piece, TermName};

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
        tangle.factors = tangle.pieces().into_iter().map(Piece::factor).collect();
        tangle.factors.sort_unstable();
        tangle.factors.dedup();
        tangle
    }

    /// The terms, and the block level that hides behind them if there is one.
    pub fn terms(&self) -> Vec<TermName> {
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
        let columns = self.design.columns.iter().zip(changes);
        columns.filter(|&(_, change)| change != 0.0)
    }

    /// The pieces of the relation in the order of its terms, the block level last.
    pub fn pieces(&self) -> Vec<Piece> {
        let columns = self.columns();
        let own = columns.flat_map(|(column, _)| column.pieces.iter().copied());
        own.chain(self.relation.ghost.iter().map(|ghost| ghost.piece()))
            .collect()
    }

    pub fn choices_only(&self) -> bool {
        let mut factors = self.factors.iter();
        factors.all(|&factor| self.data.factors[factor].amounts().is_none())
    }
}
