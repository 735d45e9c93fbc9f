//! Tails and quantiles of t, F, normal and chi-squared distributions; mean and middle of some numbers.
//!
//! In: a ratio of t or F with its degrees of freedom. Out: tail probabilities and quantiles.
//! This module never takes a small tail as one minus a large one.
//!
//! # Source
//! Abramowitz and Stegun, Handbook of Mathematical Functions, 26.5.27 and 26.6.2; the incomplete beta function is that of statrs.

use statrs::function::beta::checked_beta_reg;
use statrs::function::erf::erf_inv;
pub(crate) use statrs::function::erf::{erfc, erfc_inv};
use statrs::function::gamma::{checked_gamma_ur, ln_gamma};

/// Steps of a bisection that halve any bracket of positive numbers down to rounding.
const BISECTIONS: usize = 200;
/// Steps of Newton that bring a quantile of t down to rounding for any degrees of freedom that a bench meets; a bisection
/// takes over where they do not.
const NEWTON_STEPS: usize = 40;
/// A step of Newton leaves an error of about its square, relative to the solution: less than rounding.
const SQUARED_AWAY: f64 = 1e-9;

/// Mean of some numbers, added in their order; not a number without any.
pub fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Middle of some numbers, halfway between the two nearest to it where their count is even; `None` without any.
pub fn middle(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    let upper = *values.get(half)?;
    Some(if values.len() % 2 == 1 {
        upper
    } else {
        (values[half - 1] + upper) / 2.0
    })
}

/// Chance of a ratio at least as far from zero as `t`, on either side.
///
/// `p = I_x(ν/2, 1/2)` with `x = ν / (ν + t²)`. None unless `t` is finite and `degrees_of_freedom` above zero.
/// # Source
/// Abramowitz and Stegun, 26.5.27.
pub fn t_two_sided(t: f64, degrees_of_freedom: f64) -> Option<f64> {
    f_upper(t * t, 1.0, degrees_of_freedom)
}

/// Chance of a ratio of at least `t`, counted on its side alone; with infinite degrees of freedom that of a normal one.
///
/// None unless `t` is finite and `degrees_of_freedom` above zero.
/// # Source
/// Abramowitz and Stegun, 26.5.27 and 26.2.29.
pub fn t_upper(t: f64, degrees_of_freedom: f64) -> Option<f64> {
    if t.is_finite() && degrees_of_freedom > NEARLY_NORMAL {
        return Some(erfc(t / std::f64::consts::SQRT_2) / 2.0);
    }
    let beyond = t_two_sided(t, degrees_of_freedom)? / 2.0;
    Some(if t > 0.0 { beyond } else { 1.0 - beyond })
}

/// Chance of a ratio of mean squares of at least `f`.
///
/// `p = I_x(ν₂/2, ν₁/2)` with `x = ν₂ / (ν₂ + ν₁ f)`.
/// None unless `f` is finite and not negative and both degrees of freedom are above zero.
/// # Source
/// Abramowitz and Stegun, 26.6.2.
pub fn f_upper(f: f64, numerator: f64, denominator: f64) -> Option<f64> {
    let usable = f.is_finite() && f >= 0.0 && numerator > 0.0 && denominator > 0.0;
    let usable = usable && numerator.is_finite() && denominator.is_finite();
    if !usable {
        return None;
    }
    let scaled = numerator * f;
    let tail = denominator / (denominator + scaled);
    let other = scaled / (denominator + scaled);
    let (a, b) = (denominator / 2.0, numerator / 2.0);
    // The share that is small is the one that is known to full precision.
    let p = if other < (b + 1.0) / (a + b + 2.0) {
        1.0 - checked_beta_reg(b, a, other).ok()?
    } else {
        checked_beta_reg(a, b, tail).ok()?
    };
    p.is_finite().then_some(p.clamp(0.0, 1.0))
}

/// The `t` that is exceeded on either side with chance `1 − confidence`.
///
/// None unless `confidence` lies between 0 and 1 and `degrees_of_freedom` is above zero.
pub fn t_for_confidence(confidence: f64, degrees_of_freedom: f64) -> Option<f64> {
    let tail = 1.0 - confidence;
    let usable = tail > 0.0 && tail < 1.0 && degrees_of_freedom > 0.0;
    if !usable || degrees_of_freedom.is_infinite() {
        return f_for_tail(tail, 1.0, degrees_of_freedom).map(f64::sqrt);
    }
    // The chance is convex in `t`, and a normal quantile is too small, so that each step of Newton stays below the solution.
    let mut t = std::f64::consts::SQRT_2 * erf_inv(confidence);
    for _ in 0..NEWTON_STEPS {
        let step =
            (t_two_sided(t, degrees_of_freedom)? - tail) / (2.0 * t_density(t, degrees_of_freedom));
        if !step.is_finite() {
            break;
        }
        t += step;
        if step.abs() <= SQUARED_AWAY * t {
            return Some(t);
        }
    }
    f_for_tail(tail, 1.0, degrees_of_freedom).map(f64::sqrt)
}

/// Density of the t distribution.
///
/// # Source
/// Abramowitz and Stegun, 26.7.1, its derivative.
fn t_density(t: f64, degrees_of_freedom: f64) -> f64 {
    let half = (degrees_of_freedom + 1.0) / 2.0;
    let scale = ln_gamma(half)
        - ln_gamma(degrees_of_freedom / 2.0)
        - (degrees_of_freedom * std::f64::consts::PI).ln() / 2.0;
    (scale - half * (t * t / degrees_of_freedom).ln_1p()).exp()
}

/// The ratio of mean squares that is exceeded with chance `tail`.
///
/// None unless `tail` lies between 0 and 1 and both degrees of freedom are above zero.
pub fn f_for_tail(tail: f64, numerator: f64, denominator: f64) -> Option<f64> {
    if !(tail > 0.0 && tail < 1.0) {
        return None;
    }
    let beyond = |f: f64| f_upper(f, numerator, denominator).map(|p| p > tail);
    let (mut low, mut high) = (1.0, 1.0);
    while beyond(high)? {
        high *= 4.0;
    }
    while !beyond(low)? {
        low /= 4.0;
        if low == 0.0 {
            return None;
        }
    }
    turning_point(low, high, beyond)
}

/// Where between two positive numbers `is_beyond` turns from true to false; None where it cannot be told.
pub(crate) fn turning_point(
    mut low: f64,
    mut high: f64,
    mut is_beyond: impl FnMut(f64) -> Option<bool>,
) -> Option<f64> {
    for _ in 0..BISECTIONS {
        // The bracket spans orders of magnitude at first, so that the geometric middle is the fast one.
        let middle = if high > 4.0 * low {
            (low * high).sqrt()
        } else {
            low / 2.0 + high / 2.0
        };
        if middle <= low || middle >= high {
            break;
        }
        if is_beyond(middle)? {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(low / 2.0 + high / 2.0)
}

/// The factor that makes a standard uncertainty an expanded one: the `t` for that confidence,
/// that of the normal distribution where the degrees of freedom are infinite.
///
/// None unless `confidence` lies between 0 and 1 and `degrees_of_freedom` is above zero.
/// # Source
/// JCGM 100:2008, annex G.3.3 and G.6.4.
pub fn coverage_factor(confidence: f64, degrees_of_freedom: f64) -> Option<f64> {
    if !(confidence > 0.0 && confidence < 1.0) {
        return None;
    }
    if degrees_of_freedom > NEARLY_NORMAL {
        return Some(std::f64::consts::SQRT_2 * erf_inv(confidence));
    }
    t_for_confidence(confidence, degrees_of_freedom)
}

/// From so many degrees of freedom on, t and normal quantiles agree to a millionth.
const NEARLY_NORMAL: f64 = 1e6;

/// Chance of a sum of squared standard normal errors of at least `chi_squared`.
///
/// None unless `chi_squared` is finite and not negative and `degrees_of_freedom` is above zero and finite.
/// # Source
/// Abramowitz and Stegun, 26.4.19.
pub fn chi_squared_upper(chi_squared: f64, degrees_of_freedom: f64) -> Option<f64> {
    if chi_squared == 0.0 && degrees_of_freedom > 0.0 {
        return Some(1.0);
    }
    checked_gamma_ur(degrees_of_freedom / 2.0, chi_squared / 2.0).ok()
}

/// Largest distance of one of `n` values from their mean, in standard deviations, that chance allows at a level;
/// two-sided: the largest or the smallest may be the odd one out.
///
/// `G = (n−1)/√n · √(t² / (n−2+t²))`, `t` exceeded with chance `level/(2n)` on one side, `n − 2` degrees of freedom.
/// # Source
/// ISO 5725-2:1994, 7.3.4 and table 5 (Grubbs' test).
pub fn grubbs_critical(n: usize, level: f64) -> Option<f64> {
    if n < 3 {
        return None;
    }
    let count = n as f64;
    let t = t_for_confidence(1.0 - level / count, count - 2.0)?;
    Some((count - 1.0) / count.sqrt() * (t * t / (count - 2.0 + t * t)).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_an_even_list_lies_between() {
        assert_eq!(middle(vec![4.0, 1.0, 3.0, 2.0]), Some(2.5));
        assert_eq!(middle(vec![3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(middle(vec![]), None);
    }

    /// Relative: the tables below were computed with 40 digits; the incomplete beta function keeps at least ten.
    const TAIL: f64 = 1e-10;
    /// Relative: the quantile tables are printed with ten decimals.
    const QUANTILE: f64 = 1e-10;

    fn close(found: Option<f64>, expected: f64, tolerance: f64) {
        let found = found.expect("a number");
        assert!(
            (found / expected - 1.0).abs() < tolerance,
            "{found} is not {expected}"
        );
    }

    #[test]
    fn small_tails_of_t_keep_ten_digits() {
        // Computed with mpmath at 40 digits: betainc(df/2, 1/2, 0, df/(df + t²), regularized=True).
        close(t_two_sided(40.0, 5.0), 1.841196217177295e-7, TAIL);
        close(t_two_sided(-2.5, 12.0), 0.02791539957132525, TAIL);
        close(t_two_sided(0.25, 7.0), 0.8097655858478518, TAIL);
        close(t_two_sided(3.0, 1e5), 0.002700460884064719, TAIL);
        close(t_two_sided(60.0, 180.0), 6.087507619826763e-121, TAIL);
        close(t_two_sided(100.0, 2.0), 9.998500249956258e-5, TAIL);
    }

    #[test]
    fn small_tails_of_f_keep_ten_digits() {
        // Computed with mpmath at 40 digits, the same way.
        close(
            f_upper(67.5524458240122, 5.0, 15.0),
            9.519043571551567e-10,
            TAIL,
        );
        close(
            f_upper(330.285339234588, 6.0, 9.0),
            4.98403052872481e-10,
            TAIL,
        );
        close(f_upper(21.0, 8.0, 180.0), 2.583264337268971e-22, TAIL);
        close(f_upper(0.5, 3.0, 40.0), 0.684413776619142, TAIL);
        close(f_upper(400.0, 2.0, 50.0), 1.732913821225277e-31, TAIL);
    }

    #[test]
    fn quantiles_of_t_agree_with_the_table() {
        // One-sided 90, 95, 97.5, 99 and 99.5 % points, NIST/SEMATECH e-Handbook 1.3.6.7.2; ten decimals computed with scipy 1.17.1.
        let table = [
            (
                1.0,
                [
                    3.0776835372,
                    6.3137515147,
                    12.7062047362,
                    31.8205159538,
                    63.6567411629,
                ],
            ),
            (
                3.0,
                [
                    1.6377443537,
                    2.3533634348,
                    3.1824463053,
                    4.5407028586,
                    5.8409093097,
                ],
            ),
            (
                10.0,
                [
                    1.3721836411,
                    1.8124611228,
                    2.2281388520,
                    2.7637694581,
                    3.1692726726,
                ],
            ),
            (
                30.0,
                [
                    1.3104150254,
                    1.6972608866,
                    2.0422724563,
                    2.4572615424,
                    2.7499956536,
                ],
            ),
            (
                120.0,
                [
                    1.2886462337,
                    1.6576508994,
                    1.9799304051,
                    2.3578246126,
                    2.6174211451,
                ],
            ),
        ];
        for (df, points) in table {
            for (point, one_sided) in points.into_iter().zip([0.9, 0.95, 0.975, 0.99, 0.995]) {
                close(t_for_confidence(2.0 * one_sided - 1.0, df), point, QUANTILE);
            }
        }
    }

    #[test]
    fn quantiles_of_f_agree_with_the_table() {
        // Upper points, NIST/SEMATECH e-Handbook 1.3.6.7.3; ten decimals computed with scipy 1.17.1.
        let table = [
            [0.05, 1.0, 1.0, 161.4476387976],
            [0.05, 2.0, 8.0, 4.4589701075],
            [0.05, 3.0, 60.0, 2.7580782958],
            [0.05, 5.0, 6.0, 4.3873741874],
            [0.05, 6.0, 30.0, 2.4205231886],
            [0.05, 10.0, 5.0, 4.7350630697],
            [0.01, 1.0, 20.0, 8.0959580641],
            [0.01, 3.0, 4.0, 16.6943692372],
            [0.01, 4.0, 15.0, 4.8932095893],
            [0.01, 6.0, 3.0, 27.9106573577],
            [0.01, 8.0, 12.0, 4.4993652808],
        ];
        for [tail, numerator, denominator, point] in table {
            close(f_for_tail(tail, numerator, denominator), point, QUANTILE);
        }
    }

    #[test]
    fn nothing_is_said_without_degrees_of_freedom() {
        assert_eq!(t_two_sided(1.0, 0.0), None);
        assert_eq!(f_upper(f64::INFINITY, 1.0, 3.0), None);
        assert_eq!(t_for_confidence(1.0, 5.0), None);
        assert_eq!(f_for_tail(0.05, 0.0, 5.0), None);
    }

    #[test]
    fn coverage_factors_run_into_the_normal_one() {
        // JCGM 100:2008, table G.1 (95 %) and table G.2 (infinite degrees of freedom, 95 %: 1.960).
        close(
            coverage_factor(0.95, f64::INFINITY),
            1.959963984540054,
            1e-12,
        );
        close(coverage_factor(0.95, 10.0), 2.2281388520, QUANTILE);
        close(coverage_factor(0.95, 2e6), 1.959963984540054, 1e-12);
    }

    #[test]
    fn chi_squared_tails_agree_with_the_table() {
        // Upper 5 % points, NIST/SEMATECH e-Handbook 1.3.6.7.4: 3.841, 11.070, 31.410 for 1, 5 and 20 degrees of freedom.
        for (value, df) in [
            (3.841458820694124, 1.0),
            (11.070497693516351, 5.0),
            (31.410432844230918, 20.0),
        ] {
            close(chi_squared_upper(value, df), 0.05, 1e-9);
        }
    }

    #[test]
    fn grubbs_values_agree_with_the_standard() {
        // ISO 5725-2:1994, table 5, one largest or one smallest, upper 5 %: n = 3: 1.155, 4: 1.481, 10: 2.290, 20: 2.709.
        for (n, printed) in [(3, 1.155), (4, 1.481), (10, 2.290), (20, 2.709)] {
            let found = grubbs_critical(n, 0.05).unwrap();
            // The printed table rounds 1.1543 up to 1.155.
            assert!((found - printed).abs() < 0.001, "{n}: {found}");
        }
    }
}
