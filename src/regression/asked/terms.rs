//! The terms of a model, as products of powers and levels.
//!
//! In: what was asked, with every name known. Out: [`Design`], the terms as products of powers and levels, and
//! [`TermName`]s that know their pieces.
//! This module never looks at the values of a run, and never reads a name.

use std::fmt;
use std::ops::Mul;

use serde::{Deserialize, Serialize};

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

/// One part of a term, with its names.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(untagged)]
pub enum TermPiece {
    /// An amount to a power of at least 1.
    Power {
        /// Name of the amount.
        factor: String,
        /// The power.
        power: u32,
    },
    /// A level of a choice.
    Level {
        /// Name of the choice.
        factor: String,
        /// The level.
        level: String,
    },
}

/// What a term is a product of; nothing for the constant.
///
/// Two terms are the same when their pieces are, whatever their names read like. Written out it is `constant`, `x`,
/// `x to the 2`, `heating: hob`, or such names joined with ` with `; what is written is for people and never read back.
/// # Example
/// ```
/// use residuum::regression::{TermName, TermPiece};
/// let square = TermName::of(TermPiece::Power { factor: "time".into(), power: 2 });
/// assert_eq!(square.to_string(), "time to the 2");
/// assert!(square.is_power_of("time") && !square.is_constant());
/// ```
#[derive(Debug, Clone, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct TermName {
    /// The pieces, in the order in which the factors were asked for.
    pub pieces: Vec<TermPiece>,
}

/// One column of the design: a product of pieces, or the constant when there is none.
#[derive(Debug, Clone)]
pub(crate) struct Column {
    pub name: TermName,
    /// Sorted by factor, each factor at most once.
    pub pieces: Vec<Piece>,
}

/// The terms that one effect or joint effect takes.
#[derive(Debug, Clone)]
pub(crate) struct Effect {
    /// Names of its factors, in the order in which they were asked for.
    pub names: Vec<String>,
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
    /// Positions of the choices whose levels may hide behind terms: the blocks, then others.
    pub watched: Vec<usize>,
    /// Positions of choices that are no effects and whose levels may scatter differently all the same.
    pub scattering: Vec<usize>,
}

impl Piece {
    /// The factor that the piece is about.
    pub fn factor(self) -> usize {
        match self {
            Piece::Power { factor, .. } | Piece::Level { factor, .. } => factor,
        }
    }

    /// The piece with its names.
    pub fn named(self, factors: &[Factor]) -> TermPiece {
        let factor = factors[self.factor()].name.clone();
        match self {
            Piece::Power { power, .. } => TermPiece::Power { factor, power },
            Piece::Level { level, .. } => TermPiece::Level {
                level: factors[self.factor()].levels()[level].clone(),
                factor,
            },
        }
    }
}

impl TermPiece {
    /// Name of the factor that the piece is about.
    pub fn factor(&self) -> &str {
        match self {
            TermPiece::Power { factor, .. } | TermPiece::Level { factor, .. } => factor,
        }
    }
}

impl TermName {
    /// A term of one piece.
    pub fn of(piece: TermPiece) -> Self {
        Self {
            pieces: vec![piece],
        }
    }

    /// Whether it is the constant.
    pub fn is_constant(&self) -> bool {
        self.pieces.is_empty()
    }

    /// Whether a factor takes part in it.
    pub fn has(&self, factor: &str) -> bool {
        self.pieces.iter().any(|piece| piece.factor() == factor)
    }

    /// Whether it is a power above the first of this amount alone.
    pub fn is_power_of(&self, amount: &str) -> bool {
        matches!(self.pieces.as_slice(), [TermPiece::Power { factor, power }] if factor == amount && *power > 1)
    }
}

impl fmt::Display for TermPiece {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            TermPiece::Power { factor, power: 1 } => write!(f, "{factor}"),
            TermPiece::Power { factor, power } => write!(f, "{factor} to the {power}"),
            TermPiece::Level { factor, level } => write!(f, "{factor}: {level}"),
        }
    }
}

impl fmt::Display for TermName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut pieces = self.pieces.iter();
        let Some(first) = pieces.next() else {
            return write!(f, "constant");
        };
        write!(f, "{first}")?;
        pieces.try_for_each(|piece| write!(f, "{JOINED}{piece}"))
    }
}

/// Stands between the pieces of a term, and between the factors of a joint effect, where they are written out.
pub(crate) const JOINED: &str = " with ";

impl Column {
    fn new(mut pieces: Vec<Piece>, factors: &[Factor]) -> Self {
        let named = pieces.iter().map(|piece| piece.named(factors)).collect();
        pieces.sort_by_key(|piece| piece.factor());
        Self {
            name: TermName { pieces: named },
            pieces,
        }
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

    /// The column at a run, each amount as `coded` gives it from its factor and value.
    pub fn at_run<N>(&self, factors: &[Factor], run: usize, coded: impl Fn(usize, f64) -> N) -> N
    where
        N: Copy + From<f64> + Mul<Output = N>,
    {
        self.value(
            |factor| {
                coded(
                    factor,
                    factors[factor].amounts().map_or(0.0, |values| values[run]),
                )
            },
            |factor, level| f64::from(u8::from(factors[factor].codes()[run] == level)),
        )
    }
}

impl Design {
    /// How many terms the design will have.
    pub fn count(params: &ModelParams, data: &FitData) -> usize {
        let width = |name: &String| data.position(name).map_or(0, |at| data.factors[at].width());
        let effects: usize = params.effects.iter().map(width).sum();
        let powers = params.curved.iter().map(|curve| curve.power as usize - 1);
        let of_set = |set: &Vec<String>| set.iter().map(width).fold(1, usize::saturating_mul);
        let joint = params.joint.iter().map(of_set);
        let constant = usize::from(params.constant == Constant::Present);
        let alone = constant + effects + powers.sum::<usize>();
        joint.fold(alone, usize::saturating_add)
    }

    /// The design of a model whose names are all known.
    pub fn build(params: &ModelParams, data: &FitData) -> Self {
        let blocks = params.blocks.iter().filter_map(|name| data.position(name));
        let blocks: Vec<usize> = blocks.collect();
        let mut design = Self {
            columns: Vec::new(),
            effects: Vec::new(),
            watched: blocks.clone(),
            blocks,
            scattering: Vec::new(),
        };
        if params.constant == Constant::Present {
            design.columns.push(Column::new(Vec::new(), &data.factors));
        }
        for name in &params.effects {
            let curve = params.curved.iter().find(|curve| curve.factor == *name);
            design.add(
                std::slice::from_ref(name),
                curve.map_or(1, |curve| curve.power),
                data,
            );
        }
        for set in &params.joint {
            design.add(set, 1, data);
        }
        design
    }

    /// Watches these factors too, as far as they are choices and no terms.
    pub fn watch(&mut self, more: impl Iterator<Item = usize>, data: &FitData) {
        for factor in more {
            let mut effects = self.effects.iter();
            let is_term = effects.any(|effect| effect.factors.contains(&factor));
            let is_choice = data.factors[factor].amounts().is_none();
            if is_choice && !is_term && !self.watched.contains(&factor) {
                self.watched.push(factor);
            }
        }
    }

    /// Adds the terms of an effect, with the powers from 2 up to `power` of its amount.
    fn add(&mut self, names: &[String], power: u32, data: &FitData) {
        let known = names.iter().filter_map(|name| data.position(name));
        let mut factors: Vec<usize> = known.collect();
        let mut products = expand(&factors, &data.factors);
        for &factor in &factors {
            products.extend((2..=power).map(|power| vec![Piece::Power { factor, power }]));
        }
        let first = self.columns.len();
        let columns = products.into_iter();
        self.columns
            .extend(columns.map(|pieces| Column::new(pieces, &data.factors)));
        factors.sort_unstable();
        self.effects.push(Effect {
            names: names.to_vec(),
            factors,
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
        let pieces: Vec<Piece> = match factors[factor].amounts() {
            Some(_) => vec![Piece::Power { factor, power: 1 }],
            None => {
                let levels = 1..factors[factor].levels().len();
                levels.map(|level| Piece::Level { factor, level }).collect()
            }
        };
        let longer = |product: &Vec<Piece>| -> Vec<Vec<Piece>> {
            let added = pieces
                .iter()
                .map(|&piece| [&product[..], &[piece]].concat());
            added.collect()
        };
        products = products.iter().flat_map(longer).collect();
    }
    products
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_factor_whose_name_begins_another_takes_no_part_in_its_terms() {
        let level = TermName::of(TermPiece::Level {
            factor: "heat time".into(),
            level: "heat".into(),
        });
        assert!(level.has("heat time") && !level.has("heat"));
        let power = TermName::of(TermPiece::Power {
            factor: "heat to the 2".into(),
            power: 1,
        });
        assert!(!power.is_power_of("heat"));
        assert!(power.has("heat to the 2"));
    }
}
