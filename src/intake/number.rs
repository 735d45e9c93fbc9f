//! Number that a cell holds.
//!
//! In: the text of a cell, the decimal mark and the unit of its column. Out: a finite number in base units.
//! This module never repairs a number.

use crate::campaign::Decimal;
use crate::units::{Dimension, Unit};

/// Reads a finite number, or says what to do about the text.
pub(super) fn plain(text: &str, decimal: Decimal) -> Result<f64, String> {
    let cleaned: String = text
        .trim_matches(|c: char| c.is_whitespace() || c == '\u{a0}' || c == '\u{202f}')
        .replace('\u{2212}', "-");
    let pointed = match decimal {
        Decimal::Point => cleaned.clone(),
        Decimal::Comma if cleaned.contains('.') => {
            return Err("the campaign says `decimal = \",\"`, so write a decimal comma".into());
        }
        Decimal::Comma => cleaned.replace(',', "."),
    };
    let looks_like_a_number = pointed
        .chars()
        .all(|c| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | 'e' | 'E'));
    match pointed.parse::<f64>() {
        Ok(value) if looks_like_a_number && value.is_finite() => Ok(value),
        _ if cleaned.contains(',') && decimal == Decimal::Point => {
            Err("use a decimal point, or set `decimal = \",\"` in the campaign file".into())
        }
        _ if pointed.parse::<f64>().is_ok() => {
            Err("write a finite number, or leave the cell empty".into())
        }
        _ => Err("write a number and nothing else, or leave the cell empty".into()),
    }
}

/// Reads a number of a dimension, in base units; a fraction may carry its own `%`.
pub(super) fn of_dimension(
    text: &str,
    decimal: Decimal,
    dimension: Dimension,
    unit: Option<Unit>,
) -> Result<f64, String> {
    if dimension == Dimension::Fraction
        && let Some(percent) = text.trim().strip_suffix('%')
    {
        return plain(percent, decimal).map(|value| value / 100.0);
    }
    let value = plain(text, decimal)?;
    Ok(unit.map_or(value, |unit| unit.to_base(value)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decimal_comma_needs_the_campaign_to_say_so() {
        assert!(
            plain("12,4", Decimal::Point)
                .unwrap_err()
                .contains("decimal")
        );
        assert_eq!(plain("12,4", Decimal::Comma), Ok(12.4));
        assert!(plain("12.4", Decimal::Comma).is_err());
    }

    #[test]
    fn nan_infinity_and_words_are_no_numbers() {
        for text in [
            "NaN",
            "inf",
            "-infinity",
            "1e999",
            "n/a",
            "12 g",
            "0x10",
            "",
        ] {
            assert!(plain(text, Decimal::Point).is_err(), "{text}");
        }
        assert_eq!(plain("-1.5e-3", Decimal::Point), Ok(-0.0015));
    }

    #[test]
    fn a_fraction_may_be_written_in_percent() {
        let fraction = |text| of_dimension(text, Decimal::Point, Dimension::Fraction, None);
        assert_eq!(fraction("82 %"), Ok(0.82));
        assert_eq!(fraction("0.82"), Ok(0.82));
    }
}
