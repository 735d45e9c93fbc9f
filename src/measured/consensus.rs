//! The consensus of several estimates of one thing, which may differ by more than each knows of itself.
//!
//! In: values with their standard uncertainties. Out: [`Consensus`].
//! This module never leaves an estimate out, and never calls estimates that lie together by luck better known than they say.

use crate::distributions::{chi_squared_upper, coverage_factor};

/// Steps towards the variance between estimates; each about squares the distance, and ten are enough from anywhere.
const STEPS: usize = 100;

/// What several estimates say together: `y = Σ wᵢ yᵢ / Σ wᵢ` with `wᵢ = 1 / (uᵢ² + τ²)` and `u² = 1 / Σ wᵢ`.
///
/// # Assumes
/// Estimates are independent, and what each is off besides its own error is drawn from one normal distribution.
/// # Source
/// DerSimonian and Laird, Controlled Clinical Trials 7 (1986) 177-188 (where the search for `τ²` begins); Paule and Mandel,
/// J. Research NBS 87 (1982) 377-385 (its end: `Σ wᵢ (yᵢ − y)² = n − 1`); Hartung and Knapp, Statistics in Medicine 20 (2001)
/// 3875-3889 (t with `n − 1` degrees of freedom; their factor is 1 at that `τ²`, and is never taken below 1).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Consensus {
    /// How many estimates there are.
    pub estimates: usize,
    /// The value.
    pub value: f64,
    /// Its standard uncertainty.
    pub uncertainty: f64,
    /// Variance between estimates after DerSimonian and Laird, from which the search begins.
    pub start: f64,
    /// Variance between estimates after Paule and Mandel, which is used.
    pub between: f64,
    /// Cochran's Q: the sum of squares about the mean weighted by `1 / uᵢ²`.
    pub q: f64,
}

impl Consensus {
    /// The consensus of values with their standard uncertainties; None without any, or where one has none above zero.
    pub fn of(estimates: &[(f64, f64)]) -> Option<Self> {
        let usable = |(value, u): &(f64, f64)| value.is_finite() && u.is_finite() && *u > 0.0;
        if estimates.is_empty() || !estimates.iter().all(usable) {
            return None;
        }
        let spare = (estimates.len() - 1) as f64;
        let alone = About::of(estimates, 0.0);
        let weights = alone.weight - alone.squared_weight / alone.weight;
        let start = match spare > 0.0 && alone.squares > spare {
            true => (alone.squares - spare) / weights,
            false => 0.0,
        };
        let mut between = start;
        for _ in 0..STEPS {
            // The sum of squares falls with τ² and is convex, so that steps from below never pass the root.
            let about = About::of(estimates, between);
            let next = (between + (about.squares - spare) / about.slope).max(0.0);
            let moved = (next - between).abs();
            between = if next.is_finite() { next } else { between };
            if moved <= 4.0 * f64::EPSILON * between || !moved.is_finite() {
                break;
            }
        }
        let about = About::of(estimates, between);
        Some(Self {
            estimates: estimates.len(),
            value: about.mean,
            uncertainty: about.weight.sqrt().recip(),
            start,
            between,
            q: alone.squares,
        })
    }

    /// Degrees of freedom of the interval.
    pub fn degrees_of_freedom(&self) -> f64 {
        (self.estimates - 1) as f64
    }

    /// Half the width of the interval of this coverage; None of one estimate alone.
    pub fn half_width(&self, confidence: f64) -> Option<f64> {
        let degrees = Some(self.degrees_of_freedom()).filter(|degrees| *degrees > 0.0)?;
        Some(coverage_factor(confidence, degrees)? * self.uncertainty)
    }

    /// The chance of estimates that lie so far apart by their own errors alone; None of one alone.
    pub fn chance(&self) -> Option<f64> {
        let degrees = Some(self.degrees_of_freedom()).filter(|degrees| *degrees > 0.0)?;
        chi_squared_upper(self.q, degrees)
    }
}

/// Weighted mean and squares about it.
struct About {
    weight: f64,
    squared_weight: f64,
    mean: f64,
    squares: f64,
    /// How fast the squares fall with the variance between.
    slope: f64,
}

impl About {
    fn of(estimates: &[(f64, f64)], between: f64) -> Self {
        let weights = estimates.iter().map(|(_, u)| (u * u + between).recip());
        let weights: Vec<f64> = weights.collect();
        let weight: f64 = weights.iter().sum();
        let weighted = |of: &dyn Fn(f64, f64) -> f64| -> f64 {
            let pairs = weights.iter().zip(estimates);
            pairs.map(|(w, (value, _))| of(*w, *value)).sum()
        };
        let mean = weighted(&|w, value| w * value) / weight;
        About {
            weight,
            squared_weight: weighted(&|w, _| w * w),
            mean,
            squares: weighted(&|w, value| w * (value - mean).powi(2)),
            slope: weighted(&|w, value| (w * (value - mean)).powi(2)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn estimates_that_lie_together_are_a_weighted_mean() {
        let found = Consensus::of(&[(0.80, 0.01), (0.81, 0.02)]).unwrap();
        // Weights 4 and 1: 0.802, with 1/u² = 12 500.
        assert!((found.value - 0.802).abs() < 1e-15);
        assert!((found.uncertainty - 12_500_f64.sqrt().recip()).abs() < 1e-15);
        assert_eq!((found.between, found.start), (0.0, 0.0));
    }

    #[test]
    fn equally_good_estimates_far_apart_have_the_error_of_their_mean() {
        // As uᵢ are all alike, τ² + u² is the variance of the values and the mean is theirs.
        let found = Consensus::of(&[(1.0, 0.1), (2.0, 0.1), (6.0, 0.1)]).unwrap();
        assert!((found.value - 3.0).abs() < 1e-12);
        assert!((found.between + 0.01 - 7.0).abs() < 1e-12);
        assert!((found.uncertainty - (7.0_f64 / 3.0).sqrt()).abs() < 1e-12);
    }

    #[test]
    fn nothing_is_made_of_nothing() {
        assert_eq!(Consensus::of(&[]), None);
        assert_eq!(Consensus::of(&[(1.0, 0.0), (2.0, 0.1)]), None);
        let alone = Consensus::of(&[(1.0, 0.1)]).unwrap();
        assert_eq!((alone.value, alone.half_width(0.95)), (1.0, None));
    }
}
