//! How a number is written.
//!
//! In: values and uncertainties. Out: their text, by one rule: the uncertainty decides the digits.
//! This module never computes a figure that a reader could mistake for a result.

/// Significant digits of committed tables and of `result.json`; more would differ between machines.
const COMMITTED_DIGITS: usize = 10;

/// Significant digits that an uncertainty is printed with.
const UNCERTAINTY_DIGITS: i32 = 2;

/// Most decimals that are ever printed.
const MOST_DECIMALS: i32 = 12;

/// Decimals that show an uncertainty with two significant digits.
pub fn decimals_for(uncertainty: f64) -> usize {
    if !uncertainty.is_finite() || uncertainty <= 0.0 {
        return 3;
    }
    let decimals = UNCERTAINTY_DIGITS - 1 - uncertainty.log10().floor() as i32;
    let rounded = round_to(uncertainty, decimals);
    // Rounding up to the next power of ten (0.0996 to 0.10) would show a third digit.
    let decimals = UNCERTAINTY_DIGITS - 1 - rounded.log10().floor() as i32;
    if decimals > MOST_DECIMALS {
        // Nothing is known so well: these are the roundings of a perfect fit, which count as none.
        return 3;
    }
    decimals.max(0) as usize
}

fn round_to(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    (value * scale).round() / scale
}

/// A value with a fixed number of decimals; no minus before a zero.
pub fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text
        .trim_start_matches('-')
        .chars()
        .all(|c| c == '0' || c == '.')
    {
        text.trim_start_matches('-').to_string()
    } else {
        text.replace('-', "−")
    }
}

/// `71.4 ± 1.1`, the uncertainty with two significant digits.
pub fn plus_minus(value: f64, uncertainty: f64) -> String {
    let decimals = decimals_for(uncertainty);
    format!(
        "{} ± {}",
        fixed(value, decimals),
        fixed(uncertainty, decimals)
    )
}

/// A value alone, to four significant digits.
pub fn plain(value: f64) -> String {
    if value == 0.0 {
        return "0".into();
    }
    let decimals = (3 - value.abs().log10().floor() as i32).clamp(0, MOST_DECIMALS) as usize;
    let text = fixed(value, decimals);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    } else {
        text
    }
}

/// A probability: three decimals, never shown as exactly 0 or 1.
pub fn probability(p: f64) -> String {
    if p < 0.001 {
        "below 0.001".into()
    } else if p > 0.999 {
        "above 0.999".into()
    } else {
        fixed(p, 3)
    }
}

/// A number for a committed table: ten significant digits, a plain ASCII minus.
pub fn committed(value: f64) -> String {
    let rounded = committed_value(value);
    format!("{rounded}")
}

/// The value that ten significant digits stand for.
pub fn committed_value(value: f64) -> f64 {
    let digits = COMMITTED_DIGITS - 1;
    format!("{value:.digits$e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_uncertainty_decides_the_digits() {
        assert_eq!(plus_minus(71.4321, 1.0987), "71.4 ± 1.1");
        assert_eq!(plus_minus(71.4321, 0.0996), "71.43 ± 0.10");
        assert_eq!(plus_minus(-4.8, 0.93), "−4.80 ± 0.93");
        assert_eq!(plus_minus(1234.5, 120.0), "1234 ± 120");
    }

    #[test]
    fn a_printed_value_reads_back_within_half_its_last_digit() {
        for (value, uncertainty) in [(0.123456, 0.0012), (98.7654, 0.31), (5.5e-4, 2.2e-5)] {
            let text = plus_minus(value, uncertainty);
            let (left, right) = text.split_once(" ± ").unwrap();
            let step = 10f64.powi(-(decimals_for(uncertainty) as i32));
            assert!((left.parse::<f64>().unwrap() - value).abs() <= step / 2.0 + 1e-15);
            assert!((right.parse::<f64>().unwrap() - uncertainty).abs() <= step / 2.0 + 1e-15);
        }
    }

    #[test]
    fn committed_numbers_have_ten_digits() {
        assert_eq!(committed(2.0 / 3.0), "0.6666666667");
        assert_eq!(
            committed(-1.0e-20 / 3.0),
            "-0.000000000000000000003333333333"
        );
        assert_eq!(committed(0.5), "0.5");
    }

    #[test]
    fn zero_has_no_sign() {
        assert_eq!(fixed(-0.0001, 2), "0.00");
    }
}
