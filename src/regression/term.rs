//! Which terms does a model have, and what are they called?
//!
//! In: what was asked, with every name known. Out: [`Design`], the terms as products of powers and levels.
//! This module never looks at the values of a run.

use std::ops::Mul;

use super::data::{Factor, FitData};
use super::params::{Constant, ModelParams};

/// One part of a term.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Piece {
    /// An amount to a power of at least 1.
    Power { factor: usize, power: u32 },
    /// 1 for runs at this level, else 0.
    Level { factor: usize, level: usize },
}

/// One column of the design: a product of pieces, or the constant when there is none.
#[derive(Debug, Clone)]
pub(crate) struct Column {
    pub name: String,
    /// Sorted by factor, each factor at most once.
    pub pieces: Vec<Piece>,
}

/// The terms that one effect or joint effect takes.
#[derive(Debug, Clone)]
pub(crate) struct Effect {
    pub name: String,
    /// Positions of its factors, sorted.
    pub factors: Vec<usize>,
    /// Positions of its columns.
    pub columns: Vec<usize>,
}

/// All terms of a model and how they belong together.
#[derive(Debug, Clone)]
pub(crate) struct Design {
    pub columns: Vec<Column>,
    pub effects: Vec<Effect>,
    /// Positions of the block factors.
    pub blocks: Vec<usize>,
}

impl Piece {
    /// The factor that the piece is about.
    pub fn factor(self) -> usize {
        match self {
            Piece::Power { factor, .. } | Piece::Level { factor, .. } => factor,
        }
    }

    /// `x`, `x to the 2` or `heating: hob`.
    pub fn name(self, factors: &[Factor]) -> String {
        match self {
            Piece::Power { factor, power: 1 } => factors[factor].name.clone(),
            Piece::Power { factor, power } => format!("{} to the {power}", factors[factor].name),
            Piece::Level { factor, level } => {
                format!(
                    "{}: {}",
                    factors[factor].name,
                    factors[factor].levels()[level]
                )
            }
        }
    }
}

impl Column {
    fn new(mut pieces: Vec<Piece>, factors: &[Factor]) -> Self {
        let names: Vec<String> = pieces.iter().map(|piece| piece.name(factors)).collect();
        let name = if names.is_empty() {
            "constant".to_string()
        } else {
            names.join(" with ")
        };
        pieces.sort_by_key(|piece| piece.factor());
        Self { name, pieces }
    }

    /// The column where each amount and each level has the given value or weight.
    pub fn value<N>(&self, amount: impl Fn(usize) -> N, weight: impl Fn(usize, usize) -> f64) -> N
    where
        N: Copy + From<f64> + Mul<Output = N>,
    {
        let mut product = N::from(1.0);
        for &piece in &self.pieces {
            match piece {
                Piece::Power { factor, power } => {
                    let base = amount(factor);
                    for _ in 0..power {
                        product = product * base;
                    }
                }
                Piece::Level { factor, level } => {
                    let weight = weight(factor, level);
                    if weight == 0.0 {
                        return N::from(0.0);
                    }
                    product = product * N::from(weight);
                }
            }
        }
        product
    }
}

impl Design {
    /// How many terms the design will have.
    pub fn count(params: &ModelParams, data: &FitData) -> usize {
        let width = |name: &String| {
            data.position(name).map_or(0, |position| {
                let factor = &data.factors[position];
                match factor.amounts() {
                    Some(_) => 1,
                    None => factor.levels().len().saturating_sub(1),
                }
            })
        };
        let constant = usize::from(params.constant == Constant::Present);
        let effects: usize = params.effects.iter().map(width).sum();
        let powers: usize = params
            .curved
            .iter()
            .map(|curve| curve.power as usize - 1)
            .sum();
        let joint = params
            .joint
            .iter()
            .map(|set| set.iter().map(width).fold(1, usize::saturating_mul))
            .fold(0, usize::saturating_add);
        (constant + effects + powers).saturating_add(joint)
    }

    /// The design of a model whose names are all known.
    pub fn build(params: &ModelParams, data: &FitData) -> Self {
        let factors = &data.factors;
        let places = |names: &[String]| -> Vec<usize> {
            names
                .iter()
                .filter_map(|name| data.position(name))
                .collect()
        };
        let mut design = Self {
            columns: Vec::new(),
            effects: Vec::new(),
            blocks: places(&params.blocks),
        };
        if params.constant == Constant::Present {
            design.columns.push(Column::new(Vec::new(), factors));
        }
        for name in &params.effects {
            let mut products = expand(&places(std::slice::from_ref(name)), factors);
            for curve in params.curved.iter().filter(|curve| curve.factor == *name) {
                for factor in places(std::slice::from_ref(name)) {
                    products.extend(
                        (2..=curve.power).map(|power| vec![Piece::Power { factor, power }]),
                    );
                }
            }
            design.add(
                name.clone(),
                places(std::slice::from_ref(name)),
                products,
                factors,
            );
        }
        for set in &params.joint {
            let set_places = places(set);
            let products = expand(&set_places, factors);
            design.add(set.join(" with "), set_places, products, factors);
        }
        design
    }

    fn add(
        &mut self,
        name: String,
        mut members: Vec<usize>,
        products: Vec<Vec<Piece>>,
        factors: &[Factor],
    ) {
        let first = self.columns.len();
        self.columns.extend(
            products
                .into_iter()
                .map(|pieces| Column::new(pieces, factors)),
        );
        members.sort_unstable();
        self.effects.push(Effect {
            name,
            factors: members,
            columns: (first..self.columns.len()).collect(),
        });
    }

    /// Where the constant stands, if there is one.
    pub fn constant_column(&self) -> Option<usize> {
        self.columns
            .iter()
            .position(|column| column.pieces.is_empty())
    }
}

/// All products of one piece of each factor: the amount itself, or one level besides the baseline.
fn expand(members: &[usize], factors: &[Factor]) -> Vec<Vec<Piece>> {
    let mut products = vec![Vec::new()];
    for &factor in members {
        let pieces: Vec<Piece> = if factors[factor].amounts().is_some() {
            vec![Piece::Power { factor, power: 1 }]
        } else {
            (1..factors[factor].levels().len())
                .map(|level| Piece::Level { factor, level })
                .collect()
        };
        products = products
            .iter()
            .flat_map(|product: &Vec<Piece>| {
                pieces.iter().map(move |&piece| {
                    let mut longer = product.clone();
                    longer.push(piece);
                    longer
                })
            })
            .collect();
    }
    products
}
