//! Random numbers that are the same every time.
//!
//! In: a seed and the number of a stream. Out: [`Seeded`], which draws from common distributions.
//! This module never draws without a seed, and never lets one stream depend on how far another was drawn.

use rand_chacha::ChaCha12Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use rand_distr::{ChiSquared, Distribution, StandardNormal};

/// Streams that belong to one question of a decision each, so that no two of them share their draws.
pub mod stream {
    /// Figures of the gain of residue.
    pub const GAIN_OF_RESIDUE: u64 = 501;
    /// Purity of charged and of uncharged runs.
    pub const WORTH_OF_RESIDUE: u64 = 502;
    /// Whether runs scatter alike at all levels of a choice.
    pub const SCATTER_BY_LEVEL: u64 = 503;
    /// Scatter of the purity of charged and of uncharged runs.
    pub const SCATTER_OF_WORTH: u64 = 504;
    /// Gains of charging residue more and less often.
    pub const POLICIES_OF_RESIDUE: u64 = 505;
    /// What is aimed at, route by route.
    pub const AIM_OF_ROUTES: u64 = 0x4000_0000;
    /// Purity, route by route.
    pub const PURITY_OF_ROUTES: u64 = 0x4000_0001;
    /// Scatter of purity, route by route.
    pub const SCATTER_OF_ROUTES: u64 = 0x4000_0008;
    /// Settings where no grid is coarse enough.
    pub const SETTINGS_AT_RANDOM: u64 = 0x4000_0002;
    /// By how much a search flatters itself, and whether it found something better than the best of the runs made.
    pub const FLATTERY_OF_SEARCH: u64 = 0x4000_0004;
}

/// One stream of a seeded generator (ChaCha with 12 rounds).
#[derive(Debug, Clone)]
pub struct Seeded(ChaCha12Rng);

impl Seeded {
    /// The stream of that number; every stream of a seed is independent of the others.
    pub fn stream(seed: u64, stream: u64) -> Self {
        let mut generator = ChaCha12Rng::seed_from_u64(seed);
        generator.set_stream(stream);
        Seeded(generator)
    }

    /// A number from 0 to just below 1, all equally likely.
    pub fn uniform(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A standard normal number.
    pub fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.0)
    }

    /// A sum of so many squared standard normal numbers; `None` unless the degrees of freedom are above zero and finite.
    pub fn chi_squared(&mut self, degrees_of_freedom: f64) -> Option<f64> {
        let distribution = ChiSquared::new(degrees_of_freedom).ok()?;
        degrees_of_freedom
            .is_finite()
            .then(|| distribution.sample(&mut self.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stream_is_the_same_again_and_streams_differ() {
        let first = |stream| Seeded::stream(7, stream).uniform();
        assert_eq!(first(1), first(1));
        assert_ne!(first(1), first(2));
    }

    #[test]
    fn a_sum_of_squares_has_its_degrees_of_freedom_as_mean() {
        let mut seeded = Seeded::stream(1, 0);
        let count = 100_000;
        let sum: f64 = (0..count).filter_map(|_| seeded.chi_squared(4.0)).sum();
        // Five standard errors of a mean of 100,000 with variance 8.
        assert!((sum / f64::from(count) - 4.0).abs() < 0.045);
        assert_eq!(seeded.chi_squared(f64::INFINITY), None);
    }
}
