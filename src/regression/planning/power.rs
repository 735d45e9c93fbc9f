//! The power of a t test: the chance that it sees an effect.
//!
//! In: an effect in standard errors, degrees of freedom, a level. Out: the power.
//! This module never looks at data.

use crate::distributions::t_for_confidence;
use crate::regression::algebra::studentised_range::{Scale, normal_lower, scales};

/// Chance that a two-sided t test sees an effect.
///
/// `P = ∫ (Φ(δ − c s) + Φ(−δ − c s)) f(s) ds`, with `δ` the noncentrality, `c` the critical value of the test and
/// `s = √(χ²/ν)`. None unless the level lies between 0 and 1 and the degrees of freedom are above zero.
///
/// # Units and shapes
/// `noncentrality` is the true effect over its true standard error; `level` the chance of a false alarm.
/// # Source
/// Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions, vol. 2, 2nd ed. 1995, 31.1.
pub fn power_of_t_test(noncentrality: f64, degrees_of_freedom: f64, level: f64) -> Option<f64> {
    if !noncentrality.is_finite() {
        return None;
    }
    let critical = t_for_confidence(1.0 - level, degrees_of_freedom)?;
    let beyond = |scale: &Scale| {
        let bound = critical * scale.size;
        scale.weight * (normal_lower(noncentrality - bound) + normal_lower(-noncentrality - bound))
    };
    let sum: f64 = scales(degrees_of_freedom).iter().map(beyond).sum();
    Some(sum.min(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distributions::t_two_sided;
    use crate::regression::tests::testing::numbers;

    const TABLE: &str = include_str!("../../../tests/data/power_two_means.csv");

    /// Power is printed with eight decimals.
    const POWER: f64 = 1e-7;

    /// Relative: the exact number of runs is good to 1e-4 by its source.
    const RUNS: f64 = 1e-4;

    /// Two groups of `each` runs: `δ = d √(n/2)` with `2n − 2` degrees of freedom (Cohen 1988, 2.5).
    fn of_two_means(difference: f64, each: f64, level: f64) -> f64 {
        power_of_t_test(difference * (each / 2.0).sqrt(), 2.0 * each - 2.0, level).unwrap()
    }

    #[test]
    fn powers_and_numbers_of_runs_agree_with_the_table() {
        // statsmodels 0.15.0 (TTestIndPower) and scipy 1.17.1 (nct); Cohen 1988: 394, 64 and 26 runs for d = 0.2, 0.5, 0.8 at 0.8.
        let column = |name| numbers(TABLE, name);
        let (alpha, d, power) = (column("alpha"), column("effect_size_d"), column("power"));
        let (exact, each) = (column("n_per_group_exact"), column("n_per_group"));
        let achieved = column("achieved_power");
        assert_eq!(alpha.len(), 36);
        for row in 0..alpha.len() {
            let found = |each: f64| of_two_means(d[row], each, alpha[row]);
            assert!((found(each[row]) - achieved[row]).abs() < POWER, "{row}");
            let enough = found(each[row]) >= power[row];
            assert!(
                enough && (each[row] == 2.0 || found(each[row] - 1.0) < power[row]),
                "{row}"
            );
            // The exact number of runs has the power itself.
            let (fewer, more) = (exact[row] * (1.0 - RUNS), exact[row] * (1.0 + RUNS));
            assert!(
                found(fewer) < power[row] && power[row] < found(more),
                "{row}"
            );
        }
    }

    #[test]
    fn without_an_effect_it_is_the_ordinary_t() {
        // The level is that of a t of 1.7; both integrals are good to ten digits.
        let both = t_two_sided(1.7, 9.0).unwrap();
        assert!((power_of_t_test(0.0, 9.0, both).unwrap() - both).abs() < 1e-11);
        assert!((power_of_t_test(0.0, 9.0, 0.05).unwrap() - 0.05).abs() < 1e-11);
    }

    #[test]
    fn what_cannot_be_seen_has_no_power() {
        assert_eq!(power_of_t_test(1.0, 0.0, 0.05), None);
        assert_eq!(power_of_t_test(f64::NAN, 9.0, 0.05), None);
        assert_eq!(power_of_t_test(1.0, 9.0, 0.0), None);
    }
}
