//! The scale on which each amount is fitted, and the way back to natural units.
//!
//! In: the design and the runs. Out: [`Coding`], the coded rows, and each natural term as a combination of coded ones.
//! This module never forms a power before it has scaled.
//!
//! Doubled numbers are only ever divided by plain ones here and elsewhere in this folder: twofloat divides
//! one doubled number by another with an error as large as that of a plain division.

use std::collections::BTreeSet;

use twofloat::TwoFloat;

use crate::regression::asked::{Column, Design, Factor, FitData, Piece};

/// `z = (x − centre) / scale` of one amount.
#[derive(Debug, Clone, Copy)]
struct Place {
    centre: f64,
    scale: f64,
}

/// The scale on which each factor is fitted.
///
/// An amount is centred on its mid-range and scaled to [−1, 1] when the model is closed under it:
/// with each term that holds `x` to the `k` also the same term with every lower power, down to none.
/// Otherwise centring would ask for terms that are not there, and the amount is scaled only.
#[derive(Debug, Clone)]
pub(crate) struct Coding {
    places: Vec<Place>,
}

/// One term in natural units as a combination of coded coefficients, by column.
pub(crate) type Combination = Vec<(usize, TwoFloat)>;

/// A combination with an entry for each column.
pub(crate) fn dense(term: &Combination, columns: usize) -> Vec<TwoFloat> {
    let mut entries = vec![TwoFloat::from(0.0); columns];
    for &(column, share) in term {
        entries[column] = share;
    }
    entries
}

impl Coding {
    pub fn new(design: &Design, factors: &[Factor]) -> Self {
        let terms: BTreeSet<&[Piece]> =
            design.columns.iter().map(|c| c.pieces.as_slice()).collect();
        let of_factor = |(position, factor): (usize, &Factor)| match factor.amounts() {
            Some(values) if !values.is_empty() => place(values, is_closed(position, &terms)),
            _ => Place {
                centre: 0.0,
                scale: 1.0,
            },
        };
        Self {
            places: factors.iter().enumerate().map(of_factor).collect(),
        }
    }

    /// The coded value of an amount.
    pub fn coded(&self, factor: usize, value: f64) -> f64 {
        let Place { centre, scale } = self.places[factor];
        (value - centre) / scale
    }

    /// The amount that a coded value stands for.
    pub fn natural_amount(&self, factor: usize, coded: f64) -> f64 {
        let Place { centre, scale } = self.places[factor];
        centre + scale * coded
    }

    /// The coded row of one run.
    pub fn row(&self, design: &Design, data: &FitData, run: usize, row: &mut [f64]) {
        for (value, column) in row.iter_mut().zip(&design.columns) {
            let coded = |factor: usize, amount: f64| self.coded(factor, amount);
            *value = column.at_run(&data.factors, run, coded);
        }
    }

    /// The coded row of one run, in doubled precision.
    pub fn row_doubled(&self, design: &Design, data: &FitData, run: usize, row: &mut [TwoFloat]) {
        let coded = |factor: usize, amount: f64| {
            let Place { centre, scale } = self.places[factor];
            TwoFloat::new_sub(amount, centre) / scale
        };
        for (value, column) in row.iter_mut().zip(&design.columns) {
            *value = column.at_run(&data.factors, run, coded);
        }
    }

    /// Each term in natural units as a combination of the coded coefficients.
    ///
    /// `((x − c)/s)^k = Σ_m C(k, m) x^m (−c)^(k−m) / s^k`, multiplied out over the pieces of each coded column.
    pub fn natural(&self, design: &Design) -> Vec<Combination> {
        let mut natural = vec![Combination::new(); design.columns.len()];
        for (position, column) in design.columns.iter().enumerate() {
            for (pieces, share) in self.multiplied_out(column) {
                // A centred amount is closed, so that each product has its term; an uncentred one gives back itself.
                if let Some(term) = design.columns.iter().position(|c| c.pieces == pieces) {
                    natural[term].push((position, share));
                }
            }
        }
        natural
    }

    fn multiplied_out(&self, column: &Column) -> Vec<(Vec<Piece>, TwoFloat)> {
        let mut products = vec![(Vec::new(), TwoFloat::from(1.0))];
        for &piece in &column.pieces {
            let parts: Vec<(Option<Piece>, TwoFloat)> = match piece {
                Piece::Level { .. } => vec![(Some(piece), TwoFloat::from(1.0))],
                Piece::Power { factor, power } => self.powers(factor, power),
            };
            let mut longer = Vec::with_capacity(products.len() * parts.len());
            for (pieces, share) in &products {
                for &(part, part_share) in &parts {
                    let pieces = pieces.iter().copied().chain(part).collect();
                    longer.push((pieces, *share * part_share));
                }
            }
            products = longer;
        }
        products
    }

    /// The natural powers in a coded power, with their shares; no piece stands for the power 0.
    fn powers(&self, factor: usize, power: u32) -> Vec<(Option<Piece>, TwoFloat)> {
        let Place { centre, scale } = self.places[factor];
        let mut share = TwoFloat::from(1.0);
        for _ in 0..power {
            share /= scale;
        }
        let mut parts = vec![(Some(Piece::Power { factor, power }), share)];
        if centre == 0.0 {
            return parts;
        }
        for lower in (0..power).rev() {
            // From C(k, m+1) to C(k, m): times (m + 1), divided by (k − m).
            share = share * -centre * f64::from(lower + 1) / f64::from(power - lower);
            let piece = (lower > 0).then_some(Piece::Power {
                factor,
                power: lower,
            });
            parts.push((piece, share));
        }
        parts
    }
}

fn place(values: &[f64], closed: bool) -> Place {
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let half_range = high / 2.0 - low / 2.0;
    if closed && half_range > 0.0 {
        return Place {
            centre: low / 2.0 + high / 2.0,
            scale: half_range,
        };
    }
    let magnitude = low.abs().max(high.abs());
    Place {
        centre: 0.0,
        scale: if magnitude > 0.0 { magnitude } else { 1.0 },
    }
}

fn is_closed(factor: usize, terms: &BTreeSet<&[Piece]>) -> bool {
    terms.iter().all(|pieces| {
        let power = pieces.iter().find_map(|&piece| match piece {
            Piece::Power { factor: f, power } if f == factor => Some(power),
            _ => None,
        });
        (0..power.unwrap_or(0)).all(|lower| {
            let own = (lower > 0).then_some(Piece::Power {
                factor,
                power: lower,
            });
            let fewer = pieces.iter().filter_map(|&piece| match piece {
                Piece::Power { factor: f, .. } if f == factor => own,
                _ => Some(piece),
            });
            terms.contains(fewer.collect::<Vec<_>>().as_slice())
        })
    })
}
