//! How a number is written.
//!
//! In: values and uncertainties. Out: their text, by one rule: the uncertainty decides the digits.
//! This module never computes a figure that a reader could mistake for a result.

/// Stands for a figure that no arithmetic could give: not a number, or one without end.
pub const NOT_KNOWN: &str = "not known";

/// Significant digits of committed tables and of `result.json`; more would differ between machines.
const COMMITTED_DIGITS: usize = 10;

/// Significant digits that an uncertainty is printed with.
const UNCERTAINTY_DIGITS: i32 = 2;

/// Most digits that a column of figures is brought to for the sake of its smallest.
const MOST_DIGITS_IN_A_COLUMN: i32 = 5;

/// Most digits that an uncertainty is printed with for the sake of a smaller one in its column.
const MOST_DIGITS_OF_AN_UNCERTAINTY: i32 = 4;

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

/// Decimals for all figures of one column, so that they read alike from row to row: four significant digits of the largest and
/// three of the smallest, less the zeros that all of them would end in. None where the largest would need more than five
/// digits for that: figures so unlike get four significant digits each.
pub fn decimals_of_column(values: &[f64]) -> Option<usize> {
    let sizes = sizes(values);
    let (smallest, largest) = (sizes.first()?, sizes.last()?);
    let decimals = (3 - largest).max(2 - smallest);
    if decimals + largest >= MOST_DIGITS_IN_A_COLUMN || decimals > MOST_DECIMALS {
        return None;
    }
    let decimals = decimals.max(0) as usize;
    let ends_in_zero = |decimals: &usize| {
        let mut texts = values.iter().map(|value| fixed(*value, *decimals));
        texts.all(|text| text.ends_with('0'))
    };
    let needed = (1..=decimals)
        .rev()
        .find(|decimals| !ends_in_zero(decimals));
    Some(needed.unwrap_or(0))
}

/// Decimals for all figures of one column that carry an uncertainty: those that the middle uncertainty asks for, and more where the
/// smallest would read as zero. None where the largest would then need more than four digits.
pub fn decimals_of_uncertainties(uncertainties: &[f64]) -> Option<usize> {
    let mut known: Vec<f64> = uncertainties.iter().copied().filter(|u| *u > 0.0).collect();
    known.sort_by(f64::total_cmp);
    let sizes = sizes(&known);
    let for_the_smallest = (-sizes.first()?).max(0) as usize;
    let decimals = decimals_for(*known.get(known.len() / 2)?).max(for_the_smallest);
    (decimals as i32 + sizes.last()? < MOST_DIGITS_OF_AN_UNCERTAINTY).then_some(decimals)
}

/// Places before the decimal point, less one, of what is neither zero nor without end, the smallest first.
fn sizes(values: &[f64]) -> Vec<i32> {
    let told = values.iter().filter(|v| v.is_finite() && **v != 0.0);
    let mut sizes: Vec<i32> = told.map(|v| v.abs().log10().floor() as i32).collect();
    sizes.sort_unstable();
    sizes
}

/// A value with a fixed number of decimals; no minus before a zero.
pub fn fixed(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.into();
    }
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
    plus_minus_to(value, uncertainty, decimals_for(uncertainty))
}

/// The same to so many decimals.
pub fn plus_minus_to(value: f64, uncertainty: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.into();
    }
    format!(
        "{} ± {}",
        fixed(value, decimals),
        fixed(uncertainty, decimals)
    )
}

/// A value alone, to four significant digits.
pub fn plain(value: f64) -> String {
    let text = significant(value);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    } else {
        text
    }
}

/// A value to four significant digits, zeros at its end kept.
pub fn significant(value: f64) -> String {
    if !value.is_finite() {
        return NOT_KNOWN.into();
    }
    if value == 0.0 {
        return "0".into();
    }
    let decimals = (3 - value.abs().log10().floor() as i32).clamp(0, MOST_DECIMALS) as usize;
    fixed(value, decimals)
}

/// `61 %`: a share in percent, to so many decimals.
pub fn percent(share: f64, decimals: usize) -> String {
    match (100.0 * share).is_finite() {
        true => format!("{} %", fixed(100.0 * share, decimals)),
        false => NOT_KNOWN.into(),
    }
}

/// A probability in percent, to a tenth, never shown as certainty.
pub fn probability(p: f64) -> String {
    if !p.is_finite() {
        NOT_KNOWN.into()
    } else if p < 0.001 {
        "below 0.1 %".into()
    } else if p > 0.999 {
        "above 99.9 %".into()
    } else {
        format!("{} %", fixed(100.0 * p, 1))
    }
}

/// `40,000`: a number of things with its thousands set apart.
pub fn whole(number: usize) -> String {
    let digits = number.to_string();
    let mut text = String::new();
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// A number for a committed table: ten significant digits, a plain ASCII minus; nothing where it is not known.
pub fn committed(value: f64) -> String {
    let rounded = Some(committed_value(value)).filter(|rounded| rounded.is_finite());
    rounded.map_or_else(String::new, |rounded| format!("{rounded}"))
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
    fn figures_of_a_column_read_alike() {
        let shown = |values: &[f64]| {
            let decimals = decimals_of_column(values).unwrap();
            let texts: Vec<String> = values.iter().map(|value| fixed(*value, decimals)).collect();
            texts.join(" ")
        };
        assert_eq!(shown(&[2.0, 1.5, 1.234]), "2.000 1.500 1.234");
        assert_eq!(shown(&[10.0, 83.8, 0.0]), "10.0 83.8 0.0");
        assert_eq!(shown(&[10.0, 60.0]), "10 60");
        assert_eq!(shown(&[65.33, -7.7263, -0.607]), "65.330 −7.726 −0.607");
        assert_eq!(decimals_of_column(&[1546.65, -0.607]), None);
        assert_eq!(decimals_of_column(&[99.05, -0.0006667]), None);
        assert_eq!(decimals_of_column(&[0.0, f64::NAN]), None);
    }

    #[test]
    fn the_middle_uncertainty_decides_the_digits_of_a_column() {
        assert_eq!(decimals_of_uncertainties(&[0.95, 1.1, 1.2]), Some(1));
        assert_eq!(decimals_of_uncertainties(&[0.094, 0.10, 0.098]), Some(3));
        assert_eq!(decimals_of_uncertainties(&[0.0, 20.0, 15.0]), Some(0));
        // The smallest would read as zero with one decimal.
        assert_eq!(decimals_of_uncertainties(&[0.03, 1.1, 1.2]), Some(2));
        assert_eq!(decimals_of_uncertainties(&[0.0003, 1.1, 1.2]), None);
        assert_eq!(decimals_of_uncertainties(&[0.0]), None);
    }

    #[test]
    fn a_chance_is_never_certainty() {
        assert_eq!(probability(0.9921), "99.2 %");
        assert_eq!(probability(0.0009), "below 0.1 %");
        assert_eq!(probability(1.0), "above 99.9 %");
    }

    #[test]
    fn thousands_are_set_apart() {
        assert_eq!(
            [7, 950, 40_000, 1_234_567].map(whole).join(" "),
            "7 950 40,000 1,234,567"
        );
    }

    #[test]
    fn a_figure_that_is_none_is_not_known() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            for text in [
                fixed(bad, 1),
                plain(bad),
                percent(bad, 0),
                probability(bad),
                plus_minus(bad, 1.0),
            ] {
                assert_eq!(text, "not known");
            }
            assert_eq!(plus_minus(1.0, bad), "1.000 ± not known");
            assert_eq!(committed(bad), "");
        }
    }

    #[test]
    fn zero_has_no_sign() {
        assert_eq!(fixed(-0.0001, 2), "0.00");
    }
}
