//! What can be estimated, and what is tangled with what?
//!
//! In: the basis of the design, the natural terms and the block levels that hide behind terms. Out: [`Separation`].
//! This module never drops a term in favour of another that it is tangled with.
//!
//! # Source
//! Searle, Linear Models, 1971, 5.4 (a combination is estimable if it is orthogonal to the null space of the design).

use super::ghosts::Ghost;
use crate::regression::asked::{Column, Design, Factor, Piece};
use crate::regression::design::{Basis, Combination};

/// Share of the largest entry of a relation below which an entry is rounding that elimination left.
const ELIMINATED: f64 = 1e-9;

/// Terms that change together without any effect on the fitted values.
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
        let relate = |coded: Vec<f64>, ghost: Option<Ghost>| Relation {
            natural: natural
                .iter()
                .map(|term| basis.change(term, &coded))
                .collect(),
            coded,
            ghost,
        };
        let mut relations: Vec<Relation> = basis
            .null
            .iter()
            .map(|null| relate(null.clone(), None))
            .collect();
        let own = relations.len();
        relations.extend(
            ghosts
                .into_iter()
                .map(|ghost| relate(ghost.coded.clone(), Some(ghost))),
        );
        let estimable = (0..natural.len())
            .map(|term| {
                relations
                    .iter()
                    .all(|relation| relation.natural[term] == 0.0)
            })
            .collect();
        let sizes: Vec<f64> = design
            .columns
            .iter()
            .map(|column| size(column, factors))
            .collect();
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
    column
        .pieces
        .iter()
        .map(|&piece| match piece {
            Piece::Level { .. } => 1.0,
            Piece::Power { factor, power } => {
                let values = factors[factor].amounts().unwrap_or(&[]);
                let largest = values
                    .iter()
                    .fold(0.0_f64, |size, value| size.max(value.abs()));
                if largest > 0.0 {
                    largest.powi(power as i32)
                } else {
                    1.0
                }
            }
        })
        .product()
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
            for (part, by) in other.coded.iter_mut().zip(&chosen.coded) {
                *part -= share * by;
            }
            for (part, by) in other.natural.iter_mut().zip(&chosen.natural) {
                *part -= share * by;
            }
            other.natural[term] = 0.0;
            clean(&mut other.natural, sizes);
        }
    }
}

/// Sets to zero what elimination left as rounding.
fn clean(natural: &mut [f64], sizes: &[f64]) {
    let weights = natural
        .iter()
        .zip(sizes)
        .map(|(part, size)| (part * size).abs());
    let largest = weights.fold(0.0, f64::max);
    for (part, size) in natural.iter_mut().zip(sizes) {
        if (*part * size).abs() <= ELIMINATED * largest {
            *part = 0.0;
        }
    }
}
