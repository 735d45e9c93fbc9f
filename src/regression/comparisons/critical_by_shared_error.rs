//! The largest of several |t| whose correlations all come from one shared error, by integration.
//!
//! In: correlations. Out: [`OneFactor`] if they are products of loadings, and the chance that any |t| exceeds a value.
//! This module never simulates.
//!
//! # Source
//! Dunnett, J. American Statistical Association 50 (1955), 1096-1121; Hsu, Multiple Comparisons, 1996, 3.3 and appendix.

use crate::regression::algebra::studentised_range::{FAR, Scale, normal_lower, places, scales};

/// Correlations that are products to within this are taken to be products.
const PRODUCT: f64 = 1e-10;

/// A loading closer to one leaves too little own error for even steps.
const LARGEST_LOADING: f64 = 0.9995;

/// Steps of the integral over the shared error.
const STEP: f64 = 0.2;

/// Differences whose errors are `λ_i z + √(1 − λ_i²) e_i` with one shared `z`.
#[derive(Debug, Clone)]
pub(crate) struct OneFactor {
    loadings: Vec<f64>,
    scales: Vec<Scale>,
    step: f64,
}

impl OneFactor {
    /// None unless all correlations are products of loadings.
    pub fn of(directions: &[Vec<f64>], degrees_of_freedom: f64) -> Option<Self> {
        let correlation = |one: usize, other: usize| -> f64 {
            let pairs = directions[one].iter().zip(&directions[other]);
            pairs.map(|(a, b)| a * b).sum()
        };
        if directions.len() < 3 {
            return None;
        }
        let square = correlation(0, 1) * correlation(0, 2) / correlation(1, 2);
        if !(square.is_finite() && square > 0.0) {
            return None;
        }
        let first = square.sqrt();
        let mut loadings = vec![first];
        loadings.extend((1..directions.len()).map(|other| correlation(0, other) / first));
        if loadings
            .iter()
            .any(|loading| loading.abs() > LARGEST_LOADING)
        {
            return None;
        }
        for one in 1..directions.len() {
            for other in one + 1..directions.len() {
                let product = loadings[one] * loadings[other];
                if (correlation(one, other) - product).abs() > PRODUCT {
                    return None;
                }
            }
        }
        // The integrand changes over √(1 − λ²)/λ.
        let narrowest = loadings
            .iter()
            .map(|loading| (1.0 - loading * loading).sqrt() / loading.abs())
            .fold(f64::INFINITY, f64::min);
        Some(Self {
            loadings,
            scales: scales(degrees_of_freedom),
            step: STEP.min(narrowest / 2.0),
        })
    }

    /// Chance that the largest `|t|` is at least `t`.
    ///
    /// `∫ f(s) ∫ φ(z) (1 − Π (1 − ε_i(z, s))) dz ds`, with `ε_i` the chance that the own error carries `|t_i|` beyond `t s`.
    pub fn upper(&self, t: f64) -> f64 {
        let sum: f64 = self
            .scales
            .iter()
            .map(|scale| {
                let bound = t * scale.size;
                let over_places: f64 = places(FAR, self.step)
                    .map(|place| place.weight * self.exceeds(bound, place.size))
                    .sum();
                scale.weight * over_places
            })
            .sum();
        sum.min(1.0)
    }

    fn exceeds(&self, bound: f64, shared: f64) -> f64 {
        let none: f64 = self
            .loadings
            .iter()
            .map(|loading| {
                let own = (1.0 - loading * loading).sqrt();
                let above = normal_lower((loading * shared - bound) / own);
                let below = normal_lower((-loading * shared - bound) / own);
                (-(above + below).min(1.0)).ln_1p()
            })
            .sum();
        // Of a small chance all digits are kept.
        -none.exp_m1()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::regression::algebra::studentised_range::exceeded_with;
    use crate::regression::tests::testing::numbers;

    const TABLE: &str = include_str!("../../../tests/data/dunnett_two_sided.csv");

    /// The table is printed with six decimals.
    const PRINTED: f64 = 0.6e-6;

    /// Directions with correlation 1/2 each: means that are equally well known, against a baseline.
    fn equal_sizes(treatments: usize) -> Vec<Vec<f64>> {
        (0..treatments)
            .map(|treatment| {
                let mut direction = vec![0.0; treatments + 1];
                direction[0] = 0.5_f64.sqrt();
                direction[treatment + 1] = 0.5_f64.sqrt();
                direction
            })
            .collect()
    }

    #[test]
    fn critical_values_against_a_baseline_agree_with_the_table() {
        // Computed by double integration with scipy 1.17.1; 29 entries agree with Dunnett, Biometrics 20 (1964), 482-491.
        let treatments = numbers(TABLE, "n_treatments");
        let (alphas, dfs) = (numbers(TABLE, "alpha"), numbers(TABLE, "df"));
        let values = numbers(TABLE, "d_upper");
        let mut compared = 0;
        for (row, &count) in treatments.iter().enumerate() {
            let Some(family) = OneFactor::of(&equal_sizes(count as usize), dfs[row]) else {
                assert!(count < 3.0);
                continue;
            };
            let found = exceeded_with(alphas[row], |t| family.upper(t)).unwrap();
            let expected = values[row];
            assert!(
                (found - expected).abs() <= PRINTED,
                "{found} is not {expected}"
            );
            compared += 1;
        }
        assert!(compared > 150, "{compared}");
    }

    #[test]
    fn correlations_that_are_no_products_are_refused() {
        let mut directions = equal_sizes(4);
        directions[3] = directions[2]
            .iter()
            .zip(&directions[1])
            .map(|(a, b)| a - b)
            .collect();
        assert!(OneFactor::of(&directions, 10.0).is_none());
    }
}
