//! Relations between terms that change together, and which terms can be estimated.
//!
//! In: the basis of the design, the natural terms and the block levels that hide behind terms. Out: [`Separation`].
//! This module never drops a term in favour of another that it is tangled with.
//!
//! # Source
//! Searle, Linear Models, 1971, 5.4 (a combination is estimable if it is orthogonal to the null space of the design).

use super::hidden_blocks::Ghost;
use crate::regression::algebra::subtract;
use crate::regression::asked::{Column, Design, Factor, Piece};
use crate::regression::design::{Basis, Combination};

/// Share of the largest entry of a relation below which an entry is rounding that elimination left.
const ELIMINATED: f64 = 1e-9;

/// Terms that change together without any effect on the fitted values: `X c = 0`, or `X c` marks the runs of a block level.
#[derive(Debug, Clone)]
pub(crate) struct Relation {
    /// The change of each coded coefficient.
    pub coded: Vec<f64>,
    /// The change of each natural term; exactly zero for terms that are not part of it.
    pub natural: Vec<f64>,
    /// A single block level that does the same as these terms, with the change −1.
    pub ghost: Option<Ghost>,
}

/// All relations of a design.
#[derive(Debug, Clone)]
pub(crate) struct Separation {
    pub relations: Vec<Relation>,
    /// Whether each natural term can be estimated.
    pub estimable: Vec<bool>,
}

impl Separation {
    /// Sorts out the relations, each with as few terms as elimination allows.
    pub fn of(
        design: &Design,
        factors: &[Factor],
        natural: &[Combination],
        basis: &Basis,
        ghosts: Vec<Ghost>,
    ) -> Self {
        let relate = |coded: Vec<f64>, ghost: Option<Ghost>| {
            let changes = natural.iter().map(|term| basis.change(term, &coded));
            Relation {
                natural: changes.collect(),
                coded,
                ghost,
            }
        };
        let nulls = basis.null.iter();
        let mut relations: Vec<Relation> = nulls.map(|null| relate(null.clone(), None)).collect();
        let own = relations.len();
        let of_ghosts = ghosts.into_iter();
        relations.extend(of_ghosts.map(|ghost| relate(ghost.coded.clone(), Some(ghost))));
        let stays = |term: usize| {
            relations
                .iter()
                .all(|relation| relation.natural[term] == 0.0)
        };
        let estimable = (0..natural.len()).map(stays).collect();
        let columns = design.columns.iter();
        let sizes: Vec<f64> = columns.map(|column| size(column, factors)).collect();
        reduce(&mut relations, own, &sizes);
        relations.retain(|relation| relation.natural.iter().any(|&part| part != 0.0));
        Self {
            relations,
            estimable,
        }
    }

    /// The relations along which a combination of coded coefficients changes; empty when it can be estimated.
    pub fn in_the_way(&self, basis: &Basis, combination: &[f64]) -> Vec<&Relation> {
        self.relations
            .iter()
            .filter(|relation| basis.touches(combination, &relation.coded))
            .collect()
    }
}

/// The size that a natural column can take, so that changes of different terms can be compared.
fn size(column: &Column, factors: &[Factor]) -> f64 {
    let of_piece = |&piece: &Piece| match piece {
        Piece::Level { .. } => 1.0,
        Piece::Power { factor, power } => {
            let values = factors[factor].amounts().unwrap_or(&[]).iter();
            match values.fold(0.0_f64, |size, value| size.max(value.abs())) {
                largest if largest > 0.0 => largest.powi(power as i32),
                _ => 1.0,
            }
        }
    };
    column.pieces.iter().map(of_piece).product()
}

/// Gauss-Jordan elimination among the first `own` relations; the others, each about its block level, are only freed of those.
fn reduce(relations: &mut [Relation], own: usize, sizes: &[f64]) {
    for step in 0..own {
        let mut pivot = (step, 0, 0.0);
        for (row, relation) in relations.iter().enumerate().take(own).skip(step) {
            for (term, part) in relation.natural.iter().enumerate() {
                let weight = (part * sizes[term]).abs();
                if weight > pivot.2 * (1.0 + ELIMINATED) {
                    pivot = (row, term, weight);
                }
            }
        }
        let (row, term, weight) = pivot;
        if weight == 0.0 {
            return;
        }
        relations.swap(step, row);
        let chosen = relations[step].clone();
        for (position, other) in relations.iter_mut().enumerate() {
            let share = other.natural[term] / chosen.natural[term];
            if position == step || share == 0.0 {
                continue;
            }
            subtract(&mut other.coded, share, &chosen.coded);
            subtract(&mut other.natural, share, &chosen.natural);
            other.natural[term] = 0.0;
            clean(&mut other.natural, sizes);
        }
    }
}

/// Sets to zero what elimination left as rounding.
fn clean(natural: &mut [f64], sizes: &[f64]) {
    let parts = natural.iter().zip(sizes);
    let weights = parts.map(|(part, size)| (part * size).abs());
    let largest = weights.fold(0.0, f64::max);
    for (part, size) in natural.iter_mut().zip(sizes) {
        if (*part * size).abs() <= ELIMINATED * largest {
            *part = 0.0;
        }
    }
}
