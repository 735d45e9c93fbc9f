//! How many runs does it take to see a difference?
//!
//! In: a difference in standard deviations, a chance of seeing it, a level. Out: power and numbers of runs.
//! This module never looks at data.

use crate::distributions::t_for_confidence;
use crate::regression::algebra::studentised_range::{normal_lower, scales};

/// More runs in a group than any campaign has; beyond it the difference is too small to look for.
const MOST_RUNS: f64 = 1e7;

/// How many runs each of two groups needs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunsNeeded {
    /// The solution in fractions of a run.
    pub exact: f64,
    /// The smallest whole number of runs in each group, at least two.
    pub each: usize,
    /// The chance of seeing the difference with that many.
    pub power: f64,
}

/// Chance that a noncentral t is at most `t`.
///
/// `P = ∫ Φ(t s − δ) f(s) ds`, with `δ` the noncentrality and `s = √(χ²/ν)`.
/// None unless all numbers are finite and the degrees of freedom are above zero.
/// # Source
/// Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions, vol. 2, 2nd ed. 1995, 31.2.
pub fn noncentral_t_lower(t: f64, degrees_of_freedom: f64, noncentrality: f64) -> Option<f64> {
    let usable = t.is_finite() && noncentrality.is_finite() && degrees_of_freedom > 0.0;
    usable.then(|| {
        let points = scales(degrees_of_freedom);
        points
            .iter()
            .map(|scale| scale.weight * normal_lower(t * scale.size - noncentrality))
            .sum::<f64>()
            .min(1.0)
    })
}

/// Chance that a two-sided t test sees an effect.
///
/// `noncentrality` is the true effect over its true standard error; `level` the chance of a false alarm.
/// None unless the level lies between 0 and 1 and the degrees of freedom are above zero.
/// # Source
/// Johnson, Kotz and Balakrishnan, 1995, 31.1.
pub fn power_of_t_test(noncentrality: f64, degrees_of_freedom: f64, level: f64) -> Option<f64> {
    if !noncentrality.is_finite() {
        return None;
    }
    let critical = t_for_confidence(1.0 - level, degrees_of_freedom)?;
    let points = scales(degrees_of_freedom);
    let sum: f64 = points
        .iter()
        .map(|scale| {
            let bound = critical * scale.size;
            scale.weight
                * (normal_lower(noncentrality - bound) + normal_lower(-noncentrality - bound))
        })
        .sum();
    Some(sum.min(1.0))
}

/// Chance that two groups of `each` runs show a difference between their means, two-sided.
///
/// `δ = d √(n/2)` with `2n − 2` degrees of freedom; `d` is the difference over the run-to-run standard deviation.
/// None with fewer than two runs in a group or a level outside (0, 1).
/// # Source
/// Cohen, Statistical Power Analysis for the Behavioral Sciences, 2nd ed. 1988, 2.5.
pub fn power_of_two_means(difference: f64, each: f64, level: f64) -> Option<f64> {
    let enough = each.is_finite() && each > 1.0;
    enough
        .then(|| power_of_t_test(difference * (each / 2.0).sqrt(), 2.0 * each - 2.0, level))
        .flatten()
}

/// How many runs in each of two groups show a difference with a wanted chance, two-sided.
///
/// None when the difference is zero or too small for ten million runs, or `power` and `level` do not lie between 0 and 1.
/// # Example
/// ```
/// use residuum::regression::runs_for_two_means;
/// let needed = runs_for_two_means(0.5, 0.8, 0.05).expect("half a standard deviation can be seen");
/// assert_eq!(needed.each, 64);
/// assert!((needed.power - 0.801).abs() < 0.001);
/// ```
/// # Source
/// As for [`power_of_two_means`].
pub fn runs_for_two_means(difference: f64, power: f64, level: f64) -> Option<RunsNeeded> {
    let usable = power > level && power < 1.0 && difference.is_finite() && difference != 0.0;
    if !usable {
        return None;
    }
    let reached = |each: f64| power_of_two_means(difference, each, level).map(|p| p >= power);
    // Just above one run in each group there is next to no degree of freedom.
    let (mut low, mut high) = (1.0 + 1e-6, 2.0);
    while !reached(high)? {
        low = high;
        high *= 2.0;
        if high > MOST_RUNS {
            return None;
        }
    }
    while high - low > 1e-9 * high {
        let middle = low / 2.0 + high / 2.0;
        if reached(middle)? {
            high = middle;
        } else {
            low = middle;
        }
    }
    let mut each = high.ceil().max(2.0);
    // The last step may have ended just above a whole number that is enough.
    if each > 2.0 && reached(each - 1.0)? {
        each -= 1.0;
    }
    Some(RunsNeeded {
        exact: high,
        each: each as usize,
        power: power_of_two_means(difference, each, level)?,
    })
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

    #[test]
    fn powers_and_numbers_of_runs_agree_with_the_table() {
        // statsmodels 0.15.0 (TTestIndPower) and scipy 1.17.1 (nct); Cohen 1988: 394, 64 and 26 runs for d = 0.2, 0.5, 0.8 at 0.8.
        let column = |name| numbers(TABLE, name);
        let (alpha, d, power) = (column("alpha"), column("effect_size_d"), column("power"));
        let (exact, each) = (column("n_per_group_exact"), column("n_per_group"));
        let achieved = column("achieved_power");
        assert_eq!(alpha.len(), 36);
        for row in 0..alpha.len() {
            let found = runs_for_two_means(d[row], power[row], alpha[row]).unwrap();
            assert_eq!(found.each, each[row] as usize, "{row}");
            assert!(
                (found.power - achieved[row]).abs() < POWER,
                "{row} {found:?}"
            );
            assert!(
                (found.exact / exact[row] - 1.0).abs() < RUNS,
                "{row} {found:?}"
            );
        }
    }

    #[test]
    fn without_an_effect_it_is_the_ordinary_t() {
        let both = t_two_sided(1.7, 9.0).unwrap();
        let lower = noncentral_t_lower(1.7, 9.0, 0.0).unwrap();
        // Both integrals are good to ten digits.
        assert!((lower - (1.0 - both / 2.0)).abs() < 1e-11);
        assert!((power_of_t_test(0.0, 9.0, 0.05).unwrap() - 0.05).abs() < 1e-11);
    }

    #[test]
    fn what_cannot_be_seen_has_no_number_of_runs() {
        assert_eq!(runs_for_two_means(0.0, 0.8, 0.05), None);
        assert_eq!(runs_for_two_means(1e-9, 0.8, 0.05), None);
        assert_eq!(runs_for_two_means(1.0, 1.0, 0.05), None);
        assert_eq!(power_of_two_means(1.0, 1.0, 0.05), None);
    }
}
