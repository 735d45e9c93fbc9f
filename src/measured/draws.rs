//! Simulated errors of a source of uncertainty.
//!
//! In: a seed, a batch and a source. Out: simulated errors of that source in units of its standard uncertainty.
//! This module never draws without a seed, and draws the same for a source whoever asks.

use super::{Distribution, Source, SourceId};
use crate::seeded::Seeded;

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
    /// Errors of one source with mean zero, in units of its standard uncertainty; their standard deviation is 1 for a stated
    /// uncertainty.
    ///
    /// Rectangular: `√3·(2r − 1)`; triangular: `√6·(r₁ + r₂ − 1)`; normal: `z`, or `z·√(ν/χ²(ν))` with `ν` degrees of
    /// freedom of the estimate; `r` uniform from 0 to 1, `z` standard normal. One error a lane.
    ///
    /// # Source
    /// JCGM 101:2008, 6.4.2 (rectangular), 6.4.5 (triangular), 6.4.7 (normal), 6.4.9 (scaled t for a standard
    /// uncertainty that was estimated with finite degrees of freedom; sources of one estimate share its scale).
    pub fn errors(self, id: SourceId, source: &Source) -> Vec<f64> {
        let mut stream = self.stream(id, 0);
        match source.distribution {
            Distribution::NotStated => vec![0.0; self.lanes],
            Distribution::Rectangular => (0..self.lanes)
                .map(|_| 3f64.sqrt() * (2.0 * stream.uniform() - 1.0))
                .collect(),
            Distribution::Triangular => (0..self.lanes)
                .map(|_| 6f64.sqrt() * (stream.uniform() + stream.uniform() - 1.0))
                .collect(),
            Distribution::Normal => {
                let degrees = source.degrees_of_freedom;
                let mut scales = self.stream(source.estimate.unwrap_or(id), SCALES);
                (0..self.lanes)
                    .map(|_| {
                        let error = stream.normal();
                        let square = scales.chi_squared(degrees);
                        square.map_or(error, |square| error * (degrees / square).sqrt())
                    })
                    .collect()
            }
        }
    }

    /// The stream of one source in this batch.
    fn stream(self, id: SourceId, kind: u64) -> Seeded {
        Seeded::stream(
            self.seed,
            (self.batch << 33) | (kind << 32) | u64::from(id.0),
        )
    }
}

/// Kind of the streams that scales of estimated uncertainties are drawn from.
const SCALES: u64 = 1;

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
        let errors = draws.errors(source, sources.get(source));
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
        let of = |source| draws.errors(source, sources.get(source));
        assert_eq!(of(one), of(one));
        assert_ne!(of(one), of(two));
    }
}
