//! Number that a cell holds, and the ranges that readings of a bench lie in.
//!
//! In: the text of a cell, the marks of its table and the unit of its column. Out: a finite number in base units, and a hint
//! with the range where it lies outside.
//! This module never repairs a number, and never judges a figure that could be true: the ranges are wider than any
//! vessel, balance or burette.

use super::marks::{Marks, Said, said};
use crate::campaign::Decimal;
use crate::units::{Dimension, Unit};

const FINITE: &str = "write a finite number";
pub(super) const NOTHING_ELSE: &str = "write the number and nothing else";
const ABOUT: &str = "a number that is about right is none: write what was weighed or read";
/// Signs of a figure that was below what the method sees.
const LIMITS: [char; 2] = ['<', '\u{2264}'];
/// What is left for a run whose number nobody knows: an empty cell would mean something else.
pub(super) const NOT_KNOWN: &str = "give the run a reason under `set_aside`";

/// A hint about a text that is no number, with what is left where nobody knows the number.
pub(super) fn or_else(hint: &str, not_known: &str) -> String {
    match hint {
        FINITE | NOTHING_ELSE | ABOUT => format!("{hint}, or {not_known}"),
        _ => hint.to_string(),
    }
}

/// Reads a finite number, or says what to do about the text.
pub(super) fn plain(text: &str, marks: Marks) -> Result<f64, String> {
    let is_plain = |b: u8| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'e' | b'E');
    // Nearly all cells are like this, and there may be millions of them.
    if marks.decimal == Decimal::Point
        && text.bytes().all(is_plain)
        && let Ok(value) = text.parse::<f64>()
        && value.is_finite()
    {
        return Ok(value);
    }
    let own = |value: f64| in_marks(value, marks.decimal);
    match said(text, marks.decimal) {
        Said::Number(value) => Ok(value),
        Said::Either { grouped, .. } if marks.thousands => Ok(grouped),
        Said::Either { grouped, fraction } => Err(format!(
            "it can mean {} or {}: write the one that is meant, without a mark between thousands",
            own(grouped),
            own(fraction)
        )),
        Said::Otherwise(value) if marks.decimal == Decimal::Comma => Err(format!(
            "the campaign says `decimal = \",\"`, so write a decimal comma: `{}`",
            own(value)
        )),
        Said::Otherwise(value) => Err(format!(
            "use a decimal point, `{}`, or set `decimal = \",\"` in the campaign file",
            own(value)
        )),
        Said::WrongWayRound(value) => Err(format!(
            "point and comma stand the other way round here: write `{}`, or set `decimal = \"{}\"` in the campaign file",
            own(value),
            marks.decimal.other().mark()
        )),
        Said::Nothing => Err(no_number(text.trim(), marks)),
    }
}

/// What to do about a text that is no number with any marks.
fn no_number(text: &str, marks: Marks) -> String {
    if text.starts_with(LIMITS) {
        // All of them at once: a cell may hold thousands, and each reading of the rest costs room on the stack.
        let is_sign = |sign: char| LIMITS.contains(&sign) || sign.is_whitespace();
        let limit = text.trim_start_matches(is_sign);
        let in_percent = limit.trim().strip_suffix('%');
        let percent = if in_percent.is_some() { " %" } else { "" };
        let limit = in_percent.unwrap_or(limit);
        let shown = |value: f64| format!("`{}{percent}`", in_marks(value, marks.decimal));
        let example = plain(limit, marks).map_or(String::new(), |limit| {
            // Four figures are more than enough for what nobody saw.
            let half = limit / 2.0;
            let standard = format!("{:.3e}", half / 3f64.sqrt());
            let standard = shown(standard.parse().unwrap_or(half));
            let half = shown(half);
            format!(": {half}, with {half}/√3 = {standard} in the `u_` column")
        });
        return format!(
            "what is below all that the method sees is no figure: leave the cell empty, or write half of it with half of it as a rectangular ±{example}"
        );
    }
    if text.starts_with(['>', '\u{2265}']) {
        return "what is above all that the method sees is no figure: measure it again in another range, or leave the cell empty".into();
    }
    let about = ["~", "\u{2248}", "\u{223c}", "ca.", "ca ", "c. "];
    if about.iter().any(|sign| text.starts_with(sign)) {
        return ABOUT.into();
    }
    if text.contains('±') || text.contains("+/-") {
        return "write the number without its ±".into();
    }
    let pointed = text.replace(marks.decimal.mark(), ".");
    match pointed.parse::<f64>() {
        Ok(_) => FINITE.into(),
        Err(_) => NOTHING_ELSE.into(),
    }
}

/// A number with its decimal mark.
fn in_marks(value: f64, decimal: Decimal) -> String {
    value.to_string().replace('.', &decimal.mark().to_string())
}

/// Reads a number of a dimension, in base units; a fraction may carry its own `%`.
pub(super) fn of_dimension(
    text: &str,
    marks: Marks,
    dimension: Dimension,
    unit: Option<Unit>,
) -> Result<f64, String> {
    let text = text.trim();
    if dimension == Dimension::Fraction
        && !text.starts_with(LIMITS)
        && let Some(percent) = text.strip_suffix('%')
    {
        return plain(percent, marks).map(|value| value / 100.0);
    }
    let value = plain(text, marks)?;
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
        let (blank, unit) = if unit == "1" { ("", "") } else { (" ", unit) };
        format!(
            "a {what} is zero or from {low:e} to {high:e}{blank}{unit}; look for a slip in the exponent or the unit"
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

    const POINT: Marks = Marks {
        decimal: Decimal::Point,
        thousands: false,
        plus_minus: None,
    };
    const COMMA: Marks = Marks {
        decimal: Decimal::Comma,
        ..POINT
    };

    #[test]
    fn a_decimal_comma_needs_the_campaign_to_say_so() {
        let hint = plain("12,4", POINT).unwrap_err();
        assert!(hint.contains("`12.4`") && hint.contains("decimal = "));
        assert_eq!(plain("12,4", COMMA), Ok(12.4));
        assert!(plain("12.4", COMMA).unwrap_err().ends_with("`12,4`"));
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
            assert!(plain(text, POINT).is_err(), "{text}");
        }
        assert_eq!(plain("-1.5e-3", POINT), Ok(-0.0015));
    }

    #[test]
    fn one_group_is_of_thousands_only_where_the_table_shows_it() {
        let shown = Marks {
            thousands: true,
            ..POINT
        };
        assert_eq!(plain("2,114", shown), Ok(2114.0));
        assert_eq!(
            plain("2,114", POINT).unwrap_err(),
            "it can mean 2114 or 2.114: write the one that is meant, without a mark between thousands"
        );
        assert!(plain("2.114", COMMA).unwrap_err().contains("2114 or 2,114"));
        assert!(plain("2.114,6", shown).is_err());
    }

    #[test]
    fn limits_and_guesses_are_no_figures() {
        // 0.25 / √3 = 0.1443.
        let hint = plain("<0.5", POINT).unwrap_err();
        assert!(
            hint.ends_with("`0.25`, with `0.25`/√3 = `0.1443` in the `u_` column"),
            "{hint}"
        );
        assert!(
            plain("<\u{a0}0,5 %", COMMA)
                .unwrap_err()
                .contains("`0,25 %`")
        );
        let hint = plain(&"< ".repeat(5_000), POINT).unwrap_err();
        assert!(hint.ends_with("as a rectangular ±"), "{hint}");
        for text in ["~12", "\u{2248} 12", "ca. 12"] {
            assert_eq!(plain(text, POINT).unwrap_err(), ABOUT, "{text}");
        }
        assert!(plain("> 99", POINT).unwrap_err().contains("another range"));
    }

    #[test]
    fn a_fraction_may_be_written_in_percent() {
        let fraction = |text| of_dimension(text, POINT, Dimension::Fraction, None);
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
