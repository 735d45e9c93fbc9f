//! Number that a cell holds, and the ranges that readings of a bench lie in.
//!
//! In: the text of a cell, the decimal mark and the unit of its column. Out: a finite number in base units, and a hint
//! with the range where it lies outside.
//! This module never repairs a number, and never judges a figure that could be true: the ranges are wider than any
//! vessel, balance or burette.

use crate::campaign::Decimal;
use crate::units::{Dimension, Unit};

const FINITE: &str = "write a finite number";
const NOTHING_ELSE: &str = "write the number and nothing else";
/// What is left for a run whose number nobody knows: an empty cell would mean something else.
pub(super) const NOT_KNOWN: &str = "give the run a reason under `set_aside`";

/// A hint about a text that is no number, with what is left where nobody knows the number.
pub(super) fn or_else(hint: &str, not_known: &str) -> String {
    if [FINITE, NOTHING_ELSE].contains(&hint) {
        format!("{hint}, or {not_known}")
    } else {
        hint.to_string()
    }
}

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
        _ if pointed.parse::<f64>().is_ok() => Err(FINITE.into()),
        _ => Err(NOTHING_ELSE.into()),
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

/// The figures of one dimension that can be readings; zero always can.
struct Range {
    what: &'static str,
    /// Smallest size above zero.
    low: f64,
    high: f64,
}

/// From a nanogram to a thousand tonnes, and alike; products and squares of some of them stay far from the ends of
/// binary64.
fn range(dimension: Dimension) -> Range {
    let of = |what, low, high| Range { what, low, high };
    match dimension {
        Dimension::Mass => of("mass", 1e-9, 1e9),
        Dimension::Volume => of("volume", 1e-9, 1e9),
        Dimension::Concentration => of("concentration", 1e-9, 1e3),
        Dimension::MassConcentration => of("concentration", 1e-9, 1e6),
        // A temperature near zero is nothing small.
        Dimension::Temperature => of("temperature", 0.0, 1e5),
        Dimension::Time => of("time", 1e-9, 1e9),
        Dimension::Fraction => of("fraction", 1e-12, 1e9),
        Dimension::Plain => of("figure", 1e-9, 1e9),
    }
}

/// Sizes above zero that a column of the user's own may hold, whatever it counts.
const OWN: Range = Range {
    what: "figure",
    low: 1e-30,
    high: 1e30,
};

impl Range {
    fn holds(&self, value: f64) -> bool {
        value == 0.0 || (self.low..=self.high).contains(&value.abs())
    }

    fn hint(&self, unit: &str) -> String {
        let Range { what, low, high } = self;
        let unit = if unit == "1" {
            String::new()
        } else {
            format!(" {unit}")
        };
        format!(
            "a {what} is zero or from {low:e} to {high:e}{unit}; look for a slip in the exponent or the unit"
        )
    }
}

/// The range that a reading lies outside of, as a hint.
pub(super) fn outside(value: f64, dimension: Dimension) -> Option<String> {
    let range = range(dimension);
    (!range.holds(value)).then(|| range.hint(dimension.base()))
}

/// Whether an uncertainty is larger than any reading that it could belong to.
pub(super) fn outside_uncertainty(uncertainty: f64, dimension: Dimension) -> Option<String> {
    let range = range(dimension);
    if dimension == Dimension::Fraction {
        let hint = "the uncertainty of a fraction is at most 1; percent are written `0.5 %`, or with the unit in the heading";
        return (uncertainty > 1.0).then(|| hint.into());
    }
    (uncertainty > range.high).then(|| range.hint(dimension.base()))
}

/// The range that a figure in a column of the user's own lies outside of, as a hint.
pub(super) fn outside_own(value: f64) -> Option<String> {
    (!OWN.holds(value)).then(|| OWN.hint("1"))
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

    #[test]
    fn what_could_be_weighed_is_inside_and_the_ends_of_binary64_are_not() {
        for mass in [0.0, 1e-6, -3.0, 2.5e7] {
            assert_eq!(outside(mass, Dimension::Mass), None, "{mass}");
        }
        for mass in [5e-324, 1e-200, 1e10, -1e308] {
            assert!(outside(mass, Dimension::Mass).is_some(), "{mass}");
        }
        assert_eq!(outside(1e-200, Dimension::Temperature), None);
    }
}
