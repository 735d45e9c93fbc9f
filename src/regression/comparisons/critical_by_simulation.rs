//! The largest of several |t| by seeded simulation of directions, where no closed form is known.
//!
//! In: the positions of the levels, the pairs looked at, and a seed. Out: [`Simulated`], with the chance that any |t| exceeds a value and its numerical error.
//! This module never simulates lengths: only directions are drawn, and the length of a point is integrated in closed form,
//! so that small chances keep their accuracy.
//!
//! # Source
//! Deák, Numerische Mathematik 35 (1980), 181-194 (normal probabilities from random directions);
//! Genz and Bretz, Computation of Multivariate Normal and t Probabilities, 2009, 4.1 and 4.2 (the same for t).

use crate::seeded::Seeded;

use super::level_positions::{Pair, Positions};
use crate::distributions::{chi_squared_upper, f_upper};
use crate::regression::algebra::studentised_range::exceeded_with;

/// Directions drawn from one stream of the generator.
const BATCH: usize = 1000;

/// Batches drawn first; the number is doubled until the critical value is known well enough.
const FIRST_BATCHES: usize = 16;

/// Never more batches than this.
const MOST_BATCHES: usize = 512;

/// Wanted relative error of a critical value, at 99 %: half of the 0.2 % that is promised.
const WANTED: f64 = 0.001;

/// Standard errors that a normal error exceeds with chance 1 %.
const NINETY_NINE: f64 = 2.576;

/// Points to which the drawn directions are condensed; the pieces are about a thousandth wide, which changes no chance by 1e-4 of it.
const CONDENSED: usize = 2000;

/// A chance whose own relative standard error is larger is replaced by its upper bound, the sum of the single chances.
const ROUGH: f64 = 0.01;

/// What a set of comparisons has in common.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Together {
    pub confidence: f64,
    pub degrees_of_freedom: f64,
    pub seed: u64,
    /// Number of the set, so that each draws from streams of its own.
    pub stream: u64,
}

/// A critical value and its numerical error, relative to it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Critical {
    pub value: f64,
    pub numerical_error: f64,
}

/// The largest projection of each drawn direction, condensed.
#[derive(Debug, Clone)]
pub(crate) struct Simulated {
    axes: f64,
    differences: f64,
    degrees_of_freedom: f64,
    drawn: f64,
    largest: Vec<f64>,
    weights: Vec<f64>,
}

/// A difference with the distance between its levels.
type Step = (Pair, f64);

impl Simulated {
    /// Draws until the critical value at the confidence asked for is known well enough; None if there is none.
    pub fn of(
        positions: &Positions,
        pairs: &[Pair],
        together: Together,
    ) -> Option<(Self, Critical)> {
        let steps: Vec<Step> = pairs
            .iter()
            .map(|&pair| (pair, positions.distance(pair)))
            .filter(|(_, size)| *size > 0.0)
            .collect();
        let mut largest: Vec<f64> = Vec::new();
        let mut batches = FIRST_BATCHES;
        loop {
            for batch in largest.len() / BATCH..batches {
                draw(positions, &steps, batch as u64, together, &mut largest);
            }
            let found = Self::condensed(&largest, positions.axes(), steps.len(), together);
            let critical = found.critical(together.confidence)?;
            if critical.numerical_error <= WANTED || batches >= MOST_BATCHES {
                return Some((found, critical));
            }
            batches *= 2;
        }
    }

    fn condensed(drawn: &[f64], axes: usize, differences: usize, together: Together) -> Self {
        let mut sorted = drawn.to_vec();
        sorted.sort_by(f64::total_cmp);
        let pieces = sorted.chunks(sorted.len().div_ceil(CONDENSED));
        let (largest, weights) = pieces
            .map(|piece| (piece, piece.len() as f64))
            .map(|(piece, count)| {
                (
                    piece.iter().sum::<f64>() / count,
                    count / sorted.len() as f64,
                )
            })
            .unzip();
        Self {
            axes: axes as f64,
            differences: differences as f64,
            degrees_of_freedom: together.degrees_of_freedom,
            drawn: drawn.len() as f64,
            largest,
            weights,
        }
    }

    /// The mean over all directions of the chance that a point in that direction exceeds, and its standard error.
    fn over_directions(&self, t: f64) -> [f64; 2] {
        let (mut mean, mut squares) = (0.0, 0.0);
        for (&largest, &weight) in self.largest.iter().zip(&self.weights) {
            let exceeds = beyond(t / largest, self.axes, self.degrees_of_freedom);
            mean += weight * exceeds;
            squares += weight * exceeds * exceeds;
        }
        let variance = (squares - mean * mean).max(0.0) / self.drawn;
        [mean, variance.sqrt()]
    }

    /// The critical value, with its error from the spread between directions.
    fn critical(&self, confidence: f64) -> Option<Critical> {
        let mean = |t: f64| self.over_directions(t)[0];
        let value = exceeded_with(1.0 - confidence, mean)?;
        let [chance, error] = self.over_directions(value);
        // How many per cent of the chance one per cent of the critical value is worth.
        let step = 0.01_f64;
        let (below, above) = (value / step.exp(), value * step.exp());
        let slope = (mean(below) / mean(above)).ln() / (2.0 * step);
        Some(Critical {
            value,
            numerical_error: NINETY_NINE * error / chance / slope,
        })
        .filter(|critical| critical.numerical_error.is_finite())
    }

    /// Chance that the largest `|t|` is at least `t`, between the chance of a single difference and the sum of all.
    pub fn upper(&self, t: f64) -> f64 {
        let single = beyond(t, 1.0, self.degrees_of_freedom);
        let bound = (self.differences * single).min(1.0);
        let [chance, error] = self.over_directions(t);
        if error > ROUGH * chance {
            bound
        } else {
            chance.clamp(single.min(bound), bound)
        }
    }
}

/// Chance that a point on so many axes lies at least `distance` estimated standard deviations from the origin.
fn beyond(distance: f64, axes: f64, degrees_of_freedom: f64) -> f64 {
    let square = distance * distance;
    let chance = if degrees_of_freedom.is_infinite() {
        chi_squared_upper(square, axes)
    } else {
        f_upper(square / axes, axes, degrees_of_freedom)
    };
    chance.unwrap_or(0.0)
}

/// Adds the largest projections of one batch, drawn from its own stream.
fn draw(
    positions: &Positions,
    steps: &[Step],
    batch: u64,
    together: Together,
    largest: &mut Vec<f64>,
) {
    let mut generator = Seeded::stream(together.seed, (together.stream << u32::BITS) | batch);
    let mut errors = vec![0.0_f64; positions.axes()];
    for _ in 0..BATCH {
        for error in &mut errors {
            *error = generator.normal();
        }
        let length = errors.iter().map(|error| error * error).sum::<f64>().sqrt();
        // Levels are placed first and then compared, which costs far less than a projection for each pair.
        let fallen = positions.fallen(&errors);
        let found = steps
            .iter()
            .map(|(pair, size)| (fallen[pair.level] - fallen[pair.against]).abs() / size)
            .fold(0.0, f64::max);
        largest.push(if length > 0.0 { found / length } else { 0.0 });
    }
}
