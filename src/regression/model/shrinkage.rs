//! What true coefficients a log allows, when an effect is taken to be small until it shows.
//!
//! In: estimated coefficients with their covariance, and which of them belong together. Out: [`Shrinkage`], which draws
//! coefficients.
//! This module never knows what a coefficient stands for, and never shrinks one that belongs to no group.

use crate::regression::algebra::{Matrix, cholesky, dot, solve_transposed, solve_upper};
use crate::seeded::Seeded;

/// Half of all effects are taken to be smaller than about so many of their own standard errors, before the runs are seen.
///
/// Simulated with 0.3, 1 and 3 on models of three to six terms: with less, surfaces with effects of four standard errors
/// are made too flat; with 3 the flattery of a search holds within a fifth whether nothing matters or much does.
const TYPICAL_EFFECT: f64 = 3.0;
/// Draws that are thrown away, until the chain has forgotten where it began.
const FORGOTTEN: usize = 200;
/// Variances of effects are kept above this, so that a group that vanishes can come back.
const LEAST_VARIANCE: f64 = 1e-12;

/// Estimated coefficients.
pub(super) struct Estimated {
    /// Their values.
    pub values: Vec<f64>,
    /// Their covariance.
    pub covariance: Matrix,
    /// The group of each, counted from zero without gaps; None for one that may be anything, such as a constant.
    pub groups: Vec<Option<usize>>,
    /// Degrees of freedom of the covariance.
    pub degrees_of_freedom: f64,
}

/// Draws of coefficients, a Markov chain.
///
/// `b ~ N(β, σ² Φ)`; `β_j ~ N(0, σ² τ² λ_g² / P_jj)` for the coefficients of group `g`, with `P = Φ⁻¹` of all coefficients
/// in groups, so that a coefficient is measured by its standard error if all others were known; `λ_g` and `τ` half-Cauchy
/// with scales 1 and [`TYPICAL_EFFECT`]; flat for the others; `σ²`, which scales `Φ`, from its degrees of freedom.
/// Effects that do not show are drawn near zero, and large ones are left where they are.
///
/// # Source
/// Carvalho, Polson and Scott, The horseshoe estimator for sparse signals, Biometrika 97 (2010), 465-480; the chain is that
/// of Makalic and Schmidt, A simple sampler for the horseshoe estimator, IEEE Signal Processing Letters 23 (2016), 179-182.
/// Both cited from memory; `tests/it/best_of_many.rs` simulates what follows from it.
pub(super) struct Shrinkage {
    values: Vec<f64>,
    degrees_of_freedom: f64,
    /// Positions of the coefficients in groups, and of the others.
    shrunk: Vec<usize>,
    free: Vec<usize>,
    group_of: Vec<usize>,
    /// How many coefficients each group has.
    sizes: Vec<f64>,
    /// Root of each `P_jj`.
    scales: Vec<f64>,
    /// `P` with ones on its diagonal, and that times the scaled estimates.
    information: Matrix,
    right: Vec<f64>,
    /// By how much free coefficients follow the shrunk ones, a row each, and the root of what is left of their covariance.
    follows: Matrix,
    rest: Matrix,
    state: State,
}

/// Where the chain is: squares of `λ`, `τ` and `σ`, and the helpers of the first two.
struct State {
    local: Vec<f64>,
    beside_local: Vec<f64>,
    global: f64,
    beside_global: f64,
    noise: f64,
}

impl Shrinkage {
    /// A chain that has forgotten where it began; None where the covariance is not positive definite.
    pub fn new(of: Estimated, random: &mut Seeded) -> Option<Self> {
        let all = 0..of.values.len();
        let (shrunk, free): (Vec<usize>, Vec<usize>) =
            all.partition(|&place| of.groups[place].is_some());
        let group_of: Vec<usize> = of.groups.iter().flatten().copied().collect();
        let groups = group_of.iter().max().map_or(0, |last| last + 1);
        let count = |group| group_of.iter().filter(|of| **of == group).count() as f64;
        let part = |rows: &[usize], columns: &[usize]| {
            Matrix::of(rows.len(), columns.len(), |row, column| {
                of.covariance.get(rows[row], columns[column])
            })
        };
        let information = cholesky::inverse(&part(&shrunk, &shrunk), shrunk.len())?;
        let between = part(&shrunk, &free);
        let follows = Matrix::of(free.len(), shrunk.len(), |row, column| {
            dot(between.column(row), information.column(column))
        });
        let own = part(&free, &free);
        let rest = Matrix::of(free.len(), free.len(), |row, column| {
            let follow = (0..shrunk.len()).map(|k| follows.get(row, k) * between.get(k, column));
            own.get(row, column) - follow.sum::<f64>()
        });
        let places = 0..shrunk.len();
        let scales: Vec<f64> = places.map(|j| information.get(j, j).sqrt()).collect();
        let information = Matrix::of(shrunk.len(), shrunk.len(), |row, column| {
            information.get(row, column) / (scales[row] * scales[column])
        });
        let scaled = shrunk.iter().zip(&scales);
        let scaled: Vec<f64> = scaled.map(|(&j, scale)| of.values[j] * scale).collect();
        let mut chain = Self {
            right: information.combined(&scaled, scaled.len()),
            rest: cholesky::root(&rest, free.len())?,
            sizes: (0..groups).map(count).collect(),
            state: State {
                local: vec![1.0; groups],
                beside_local: vec![1.0; groups],
                global: 1.0,
                beside_global: 1.0,
                noise: 1.0,
            },
            values: of.values,
            degrees_of_freedom: of.degrees_of_freedom,
            shrunk,
            free,
            group_of,
            scales,
            information,
            follows,
        };
        for _ in 0..FORGOTTEN {
            chain.draw(random)?;
        }
        Some(chain)
    }

    /// The next draw of all coefficients; None where numbers leave their range.
    pub fn draw(&mut self, random: &mut Seeded) -> Option<Vec<f64>> {
        let size = self.shrunk.len();
        let spread = |state: &State, group: usize| state.global * state.local[group];
        // Precision and root of the scaled coefficients, given the variances.
        let mut precision = self.information.clone();
        for (place, &group) in self.group_of.iter().enumerate() {
            let more = 1.0 / spread(&self.state, group);
            precision.set(place, place, precision.get(place, place) + more);
        }
        let upper = cholesky::root(&precision, size)?;
        let error = self.state.noise.sqrt();
        let mut half = solve_transposed(&upper, &self.right);
        half.iter_mut()
            .for_each(|value| *value += error * random.normal());
        let scaled = solve_upper(&upper, &half);

        let mut drawn = self.values.clone();
        for ((&place, value), scale) in self.shrunk.iter().zip(&scaled).zip(&self.scales) {
            drawn[place] = value / scale;
        }
        let apart = |&place: &usize| drawn[place] - self.values[place];
        let apart: Vec<f64> = self.shrunk.iter().map(apart).collect();
        let follow = self.follows.combined(&apart, self.free.len());
        let normal: Vec<f64> = self.free.iter().map(|_| random.normal()).collect();
        for (row, &place) in self.free.iter().enumerate() {
            let own = dot(&self.rest.column(row)[..=row], &normal[..=row]);
            drawn[place] += follow[row] + error * own;
        }
        self.step(&scaled, &apart, dot(&normal, &normal), random)?;
        Some(drawn)
    }

    /// Draws the variances anew, given the coefficients: scaled ones, distances of the natural ones from their estimates,
    /// and the squares of what was drawn for free ones.
    fn step(
        &mut self,
        scaled: &[f64],
        apart: &[f64],
        free_squares: f64,
        random: &mut Seeded,
    ) -> Option<()> {
        let state = &mut self.state;
        let mut squares = vec![0.0; self.sizes.len()];
        for (value, &group) in scaled.iter().zip(&self.group_of) {
            squares[group] += value * value / state.noise;
        }
        let mut sum = 0.0;
        for (group, &size) in self.sizes.iter().enumerate() {
            let rate = 1.0 / state.beside_local[group] + squares[group] / (2.0 * state.global);
            state.local[group] = inverse_gamma((size + 1.0) / 2.0, rate, random)?;
            let rate = 1.0 + 1.0 / state.local[group];
            state.beside_local[group] = inverse_gamma(1.0, rate, random)?;
            sum += squares[group] / state.local[group];
        }
        let size = scaled.len() as f64;
        let rate = 1.0 / state.beside_global + sum / 2.0;
        state.global = inverse_gamma((size + 1.0) / 2.0, rate, random)?;
        let rate = TYPICAL_EFFECT.powi(-2) + 1.0 / state.global;
        state.beside_global = inverse_gamma(1.0, rate, random)?;

        let away = apart.iter().zip(&self.scales);
        let away: Vec<f64> = away.map(|(apart, scale)| apart * scale).collect();
        let errors = dot(&away, &self.information.combined(&away, away.len()));
        let effects = scaled.iter().zip(&self.group_of);
        let effects = effects.map(|(v, &group)| v * v / (state.global * state.local[group]));
        let squares =
            self.degrees_of_freedom + errors + effects.sum::<f64>() + state.noise * free_squares;
        let degrees = self.degrees_of_freedom + 2.0 * size + self.free.len() as f64;
        // With variances that are known there is nothing to draw.
        if let Some(drawn) = random.chi_squared(degrees) {
            state.noise = squares / drawn;
        }
        state.noise.is_finite().then_some(())
    }
}

/// A draw from an inverse gamma distribution of this shape and rate.
fn inverse_gamma(shape: f64, rate: f64, random: &mut Seeded) -> Option<f64> {
    let drawn = random.chi_squared(2.0 * shape)? / 2.0;
    let value = (rate / drawn).max(LEAST_VARIANCE);
    value.is_finite().then_some(value)
}
