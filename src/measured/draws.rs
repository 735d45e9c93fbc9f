//! What values a source could have had.
//!
//! In: a seed, a batch and a source. Out: simulated errors of that source in units of its standard uncertainty.
//! This module never draws without a seed, and draws the same for a source whoever asks.

use rand_chacha::ChaCha12Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use rand_distr::{Distribution as Drawn, StandardNormal, StudentT};

use super::{Distribution, SourceId};

/// One batch of a simulation; each source has a stream of its own.
#[derive(Debug, Clone, Copy)]
pub struct Draws {
    /// Seed of the simulation.
    pub seed: u64,
    /// Number of the batch.
    pub batch: u64,
    /// Simulated values in one batch.
    pub lanes: usize,
}

impl Draws {
    /// Errors of one source with mean zero; their standard deviation is 1 for a stated uncertainty.
    ///
    /// # Source
    /// JCGM 101:2008, 6.4.2 (rectangular), 6.4.5 (triangular), 6.4.7 (normal), 6.4.9 (scaled t for a standard
    /// uncertainty that was estimated with finite degrees of freedom).
    pub fn errors(
        self,
        source: SourceId,
        distribution: Distribution,
        degrees_of_freedom: f64,
    ) -> Vec<f64> {
        let mut generator = ChaCha12Rng::seed_from_u64(self.seed);
        generator.set_stream((self.batch << u32::BITS) | u64::from(source.position()));
        let mut uniform = || (generator.next_u64() >> 11) as f64 / (1_u64 << 53) as f64;
        match distribution {
            Distribution::NotStated => vec![0.0; self.lanes],
            Distribution::Rectangular => (0..self.lanes)
                .map(|_| 3f64.sqrt() * (2.0 * uniform() - 1.0))
                .collect(),
            Distribution::Triangular => (0..self.lanes)
                .map(|_| 6f64.sqrt() * (uniform() + uniform() - 1.0))
                .collect(),
            Distribution::Normal => match StudentT::new(degrees_of_freedom) {
                Ok(student) if degrees_of_freedom.is_finite() => (0..self.lanes)
                    .map(|_| student.sample(&mut generator))
                    .collect(),
                _ => (0..self.lanes)
                    .map(|_| StandardNormal.sample(&mut generator))
                    .collect(),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measured::Sources;

    fn spread(distribution: Distribution) -> f64 {
        let mut sources = Sources::default();
        let source = sources.add("x", distribution, f64::INFINITY);
        let draws = Draws {
            seed: 5,
            batch: 0,
            lanes: 200_000,
        };
        let errors = draws.errors(source, distribution, f64::INFINITY);
        let mean = errors.iter().sum::<f64>() / errors.len() as f64;
        (errors.iter().map(|e| (e - mean).powi(2)).sum::<f64>() / errors.len() as f64).sqrt()
    }

    #[test]
    fn every_shape_has_unit_standard_deviation() {
        for shape in [
            Distribution::Normal,
            Distribution::Rectangular,
            Distribution::Triangular,
        ] {
            // Five standard errors of a standard deviation from 200,000 draws.
            assert!((spread(shape) - 1.0).abs() < 0.01, "{shape:?}");
        }
    }

    #[test]
    fn a_source_draws_the_same_again_and_others_differ() {
        let mut sources = Sources::default();
        let one = sources.add("one", Distribution::Normal, f64::INFINITY);
        let two = sources.add("two", Distribution::Normal, f64::INFINITY);
        let draws = Draws {
            seed: 1,
            batch: 3,
            lanes: 4,
        };
        let of = |source| draws.errors(source, Distribution::Normal, f64::INFINITY);
        assert_eq!(of(one), of(one));
        assert_ne!(of(one), of(two));
    }
}
