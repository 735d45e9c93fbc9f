//! The studentised range: how far the largest and the smallest of several equal means lie apart by chance.
//!
//! In: a range in standard errors, the number of means and the degrees of freedom. Out: tail probabilities and critical values.
//! This module never simulates: all integrals are sums over even steps, which converge faster than any power for such integrands.
//!
//! # Source
//! Pearson and Hartley, Biometrika Tables for Statisticians, vol. 1, 3rd ed. 1966, introduction to table 29 (the double integral);
//! Trefethen and Weideman, The exponentially convergent trapezoidal rule, SIAM Review 56 (2014), 385-458.

use crate::distributions::erfc;

/// Logarithm of the smallest weight that is kept, relative to the largest: far below any probability that is asked for.
const SMALLEST_WEIGHT: f64 = -45.0;

/// Steps of the integral over the place of the means; halving them changes no result by more than rounding.
const PLACE_STEP: f64 = 0.2;

/// From here on the normal density adds less than 1e-18.
pub(crate) const FAR: f64 = 9.0;

/// Largest ratio of the two ends of a critical value that has been found.
const FOUND: f64 = 1e-12;

/// A standard deviation that was estimated, relative to the true one, and how likely it is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Scale {
    pub size: f64,
    pub weight: f64,
}

/// The distribution of an estimated standard deviation, as weighted points that sum to one.
///
/// `s = √(χ²/ν)`; with `s = exp(u)` the density of `u` is proportional to `exp(ν(u − (e²ᵘ − 1)/2))`.
pub(crate) fn scales(degrees_of_freedom: f64) -> Vec<Scale> {
    if degrees_of_freedom.is_infinite() {
        return vec![Scale {
            size: 1.0,
            weight: 1.0,
        }];
    }
    let log_weight = |u: f64| degrees_of_freedom * (u - (2.0 * u).exp_m1() / 2.0);
    // For many degrees of freedom the density of u is 1/√(2ν) wide; for few, its double exponential end sets the step.
    let step = 0.15_f64.min(0.3 / degrees_of_freedom.sqrt());
    let towards = |direction: f64, first: u32| {
        let steps = (first..).map(move |count| direction * f64::from(count) * step);
        let kept = steps.take_while(|&u| log_weight(u) >= SMALLEST_WEIGHT);
        kept.map(|u| Scale {
            size: u.exp(),
            weight: log_weight(u).exp(),
        })
    };
    let mut points: Vec<Scale> = towards(-1.0, 0).chain(towards(1.0, 1)).collect();
    points.sort_by(|a, b| a.size.total_cmp(&b.size));
    let sum: f64 = points.iter().map(|point| point.weight).sum();
    for point in &mut points {
        point.weight /= sum;
    }
    points
}

/// Chance that a standard normal error lies below `z`.
pub(crate) fn normal_lower(z: f64) -> f64 {
    erfc(-z / std::f64::consts::SQRT_2) / 2.0
}

/// Points of the integral over a standard normal place, from the far left up to `end`, with their weights.
pub(crate) fn places(end: f64, step: f64) -> impl Iterator<Item = Scale> {
    let count = ((end + FAR) / step).ceil() as usize;
    let height = step / (2.0 * std::f64::consts::PI).sqrt();
    (0..=count).map(move |position| {
        let place = position as f64 * step - FAR;
        Scale {
            size: place,
            weight: height * (-place * place / 2.0).exp(),
        }
    })
}

/// Chance that the range of `means` standard normal errors is at least `width`.
///
/// `1 − k ∫ φ(z) (Φ(z) − Φ(z − w))^(k−1) dz`, taken as the integral of the difference, so that a small chance keeps its digits.
fn range_upper(width: f64, means: usize) -> f64 {
    if width <= 0.0 {
        return 1.0;
    }
    let power = means as i32 - 1;
    let part = |place: Scale| {
        let whole = normal_lower(place.size);
        let lost = normal_lower(place.size - width);
        // aⁿ − (a − b)ⁿ = b Σ aⁱ (a − b)^(n−1−i)
        let terms = (0..power).map(|i| whole.powi(i) * (whole - lost).powi(power - 1 - i));
        place.weight * lost * terms.sum::<f64>()
    };
    let sum: f64 = places(FAR + width / 2.0, PLACE_STEP).map(part).sum();
    (means as f64 * sum).min(1.0)
}

/// Chance that the studentised range of `means` means is at least `range`, when all true means are equal.
///
/// `Q = (largest − smallest) / s`, `s` the estimated standard error of one mean. `degrees_of_freedom` may be infinite.
/// None unless `range` is finite and not negative, there are two means or more, and the degrees of freedom are above zero.
/// # Source
/// Pearson and Hartley, 1966, introduction to table 29. Good to 1e-8; checked against a table of 306 critical values.
pub fn studentised_range_upper(range: f64, means: usize, degrees_of_freedom: f64) -> Option<f64> {
    let usable = range.is_finite() && range >= 0.0 && means >= 2 && degrees_of_freedom > 0.0;
    usable.then(|| upper(range, means, &scales(degrees_of_freedom)))
}

fn upper(range: f64, means: usize, scales: &[Scale]) -> f64 {
    let parts = scales.iter();
    let parts = parts.map(|scale| scale.weight * range_upper(range * scale.size, means));
    parts.sum::<f64>().min(1.0)
}

/// The studentised range that is exceeded with chance `tail`.
///
/// None unless `tail` lies between 0 and 1, there are two means or more, and the degrees of freedom are above zero.
pub fn studentised_range_for_tail(tail: f64, means: usize, degrees_of_freedom: f64) -> Option<f64> {
    let usable = tail > 0.0 && tail < 1.0 && means >= 2 && degrees_of_freedom > 0.0;
    if !usable {
        return None;
    }
    let scales = scales(degrees_of_freedom);
    exceeded_with(tail, |range| upper(range, means, &scales))
}

/// Where a falling chance of exceeding reaches `tail`; None if it never does for any number.
///
/// The logarithm of the chance is nearly straight in that of the value, so that the regula falsi (Illinois form) needs few steps.
/// # Source
/// Dowell and Jarratt, BIT 11 (1971), 168-174.
pub(crate) fn exceeded_with(tail: f64, chance: impl Fn(f64) -> f64) -> Option<f64> {
    let miss = |log: f64| (chance(log.exp()).max(f64::MIN_POSITIVE) / tail).ln();
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    let mut at_low = miss(low);
    while at_low < 0.0 {
        low -= 1.0;
        if low < -700.0 {
            return None;
        }
        at_low = miss(low);
    }
    let mut at_high = miss(high);
    while at_high > 0.0 {
        (low, at_low) = (high, at_high);
        high += 0.5;
        if high > 700.0 {
            return None;
        }
        at_high = miss(high);
    }
    let mut last_side = 0;
    for _ in 0..200 {
        if high - low < FOUND || at_low == 0.0 {
            break;
        }
        let middle = (low * at_high - high * at_low) / (at_high - at_low);
        // Rounding may put the point outside; the middle is always inside.
        let middle = if middle > low && middle < high {
            middle
        } else {
            low / 2.0 + high / 2.0
        };
        let found = miss(middle);
        if found.abs() < FOUND {
            return Some(middle.exp());
        }
        if found > 0.0 {
            (low, at_low) = (middle, found);
            if last_side == 1 {
                at_high /= 2.0;
            }
            last_side = 1;
        } else {
            (high, at_high) = (middle, found);
            if last_side == -1 {
                at_low /= 2.0;
            }
            last_side = -1;
        }
    }
    Some((low / 2.0 + high / 2.0).exp())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distributions::t_two_sided;
    use crate::regression::tests::testing::numbers;

    const TABLE: &str = include_str!("../../../tests/data/tukey_q.csv");

    /// The table is printed with six decimals.
    const PRINTED: f64 = 0.6e-6;

    /// Relative: the integral is good to 1e-8, and better where it can be compared with a closed form.
    const INTEGRAL: f64 = 1e-10;

    #[test]
    fn critical_values_agree_with_the_table() {
        // Computed with scipy 1.17.1 (studentized_range); 35 entries agree with printed tables: Pearson and Hartley 1966, table 29.
        let rows = [
            numbers(TABLE, "alpha"),
            numbers(TABLE, "df"),
            numbers(TABLE, "k"),
            numbers(TABLE, "q_upper"),
        ];
        assert_eq!(rows[0].len(), 306);
        for (row, (&alpha, &df)) in rows[0].iter().zip(&rows[1]).enumerate() {
            let found = studentised_range_for_tail(alpha, rows[2][row] as usize, df).unwrap();
            assert!(
                (found - rows[3][row]).abs() <= PRINTED,
                "{alpha} {df} {}: {found} is not {}",
                rows[2][row],
                rows[3][row]
            );
        }
    }

    #[test]
    fn with_two_means_it_is_the_two_sided_t() {
        // Two means: Q = √2 |t| exactly; t itself is checked against tables in `distributions`.
        for (t, df) in [
            (0.3, 1.0),
            (2.0, 3.0),
            (4.5, 12.0),
            (9.0, 40.0),
            (3.0, 5000.0),
        ] {
            let found = studentised_range_upper(t * 2f64.sqrt(), 2, df).unwrap();
            let expected = t_two_sided(t, df).unwrap();
            assert!(
                (found / expected - 1.0).abs() < INTEGRAL,
                "{t} {df}: {found} is not {expected}"
            );
        }
    }

    #[test]
    fn the_range_of_three_normal_errors_has_its_closed_form() {
        // Median of the range of three: P(W ≤ w) = 1/2; and the mean of the range is 3/√π (Pearson and Hartley 1966, table 27: 1.6926).
        let step = 0.01;
        let mean: f64 = (0..2000)
            .map(|i| {
                step * studentised_range_upper((i as f64 + 0.5) * step, 3, f64::INFINITY).unwrap()
            })
            .sum();
        // The midpoint rule leaves step²/24 times the slope at zero, which is zero here.
        assert!(
            (mean - 3.0 / std::f64::consts::PI.sqrt()).abs() < 1e-8,
            "{mean}"
        );
    }

    #[test]
    fn nonsense_has_no_answer() {
        assert_eq!(studentised_range_upper(-1.0, 3, 10.0), None);
        assert_eq!(studentised_range_upper(1.0, 1, 10.0), None);
        assert_eq!(studentised_range_for_tail(0.0, 3, 10.0), None);
        assert_eq!(studentised_range_for_tail(0.05, 3, 0.0), None);
        assert_eq!(studentised_range_upper(f64::NAN, 3, 10.0), None);
    }
}
