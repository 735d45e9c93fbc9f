//! Where does the chance come from? From one ChaCha stream an index, so that runs do not disturb one another.
//!
//! In: a seed and the number of a stream. Out: normal and uniform draws, and values as a balance shows them.
//! This module never reads a clock and never knows what a draw is for.

use rand_chacha::ChaCha20Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// Bounded draws stay within this many standard deviations; both sides alike, so the mean is untouched.
const BOUND: f64 = 2.5;

/// One stream of draws.
pub struct Draws(ChaCha20Rng);

impl Draws {
    /// The stream with this number.
    pub fn stream(seed: u64, number: u64) -> Self {
        let mut generator = ChaCha20Rng::seed_from_u64(seed);
        generator.set_stream(number);
        Self(generator)
    }

    /// Normal with mean zero.
    ///
    /// `z = √(−2 ln p)·cos(2π q)` with `p` and `q` uniform between 0 and 1.
    ///
    /// # Source
    /// Box and Muller 1958, A note on the generation of random normal deviates.
    pub fn normal(&mut self, standard_deviation: f64) -> f64 {
        let radius = (-2.0 * self.uniform().ln()).sqrt();
        standard_deviation * radius * (std::f64::consts::TAU * self.uniform()).cos()
    }

    /// Normal with mean zero, drawn again while it lies beyond 2.5 standard deviations.
    pub fn bounded(&mut self, standard_deviation: f64) -> f64 {
        loop {
            let draw = self.normal(standard_deviation);
            if draw.abs() <= BOUND * standard_deviation {
                return draw;
            }
        }
    }

    /// Uniform between two values.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// Uniform between 0 and 1, never one of them: the middle of one of 2⁵³ equal steps.
    fn uniform(&mut self) -> f64 {
        const STEP: f64 = 1.0 / (1_u64 << 53) as f64;
        ((self.0.next_u64() >> 11) as f64 + 0.5) * STEP
    }
}

/// The value as it is written down, with so many decimals.
pub fn logged(value: f64, decimals: i32) -> f64 {
    let scale = 10_f64.powi(decimals);
    (value * scale).round() / scale
}
