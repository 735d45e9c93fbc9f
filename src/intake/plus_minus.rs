//! Numbers with their uncertainty in one cell.
//!
//! In: texts such as `28.4 ± 0.4`, and what the campaign file says of the figure behind the sign. Out: a number with its
//! standard uncertainty.
//! This module never takes a ± for anything that the campaign file does not say.

use super::cell_values::LoggedNumber;
use super::marks::Marks;
use super::number::{NOTHING_ELSE, of_dimension, outside_uncertainty, plain};
use crate::units::{Dimension, Unit};

/// Parts of a text on both sides of its ±.
pub(super) fn around_plus_minus(text: &str) -> Option<(&str, &str)> {
    if !text.contains(['±', '+']) {
        return None;
    }
    let signs = ["±", "+/-", "+-"];
    signs.iter().find_map(|sign| text.split_once(sign))
}

/// Reads a number of a dimension in base units, with the uncertainty behind its ± where it has one.
pub(super) fn number(
    name: &str,
    text: &str,
    marks: Marks,
    dimension: Dimension,
    unit: Option<Unit>,
) -> Result<LoggedNumber, String> {
    match around_plus_minus(text) {
        Some(parts) => with_plus_minus(name, parts, marks, dimension, unit),
        None => of_dimension(text, marks, dimension, unit).map(LoggedNumber::plain),
    }
}

/// Reads `28.4 ± 0.4` in base units, with the standard uncertainty that the campaign file makes of it; a `%` behind the
/// figure after the sign is of both.
pub(super) fn with_plus_minus(
    name: &str,
    (value, stated): (&str, &str),
    marks: Marks,
    dimension: Dimension,
    unit: Option<Unit>,
) -> Result<LoggedNumber, String> {
    let Some(meant) = marks.plus_minus else {
        return Err(format!(
            "say what stands behind ± by `plus_minus = \"standard\"`, `\"k=2\"` or `\"rectangular\"` under `[logs]`, or write its standard uncertainty into the column `u_{name}`"
        ));
    };
    let (value, stated) = (value.trim(), stated.trim());
    let in_percent = [value, stated].map(|text| text.ends_with('%'));
    let figure = stated.trim_end_matches('%');
    let stated = match in_percent {
        [true, false] => return Err("write `%` behind the ± too, or behind it alone".into()),
        [_, true] if dimension == Dimension::Fraction => plain(figure, marks)? / 100.0,
        [_, true] => return Err(NOTHING_ELSE.into()),
        [false, false] => {
            let stated = plain(figure, marks)?;
            unit.map_or(stated, |unit| unit.difference_to_base(stated))
        }
    };
    let value = match in_percent {
        [false, true] => plain(value, marks)? / 100.0,
        _ => of_dimension(value, marks, dimension, unit)?,
    };
    let uncertainty = meant.standard_uncertainty(stated);
    if uncertainty < 0.0 {
        return Err("an uncertainty is not negative".into());
    }
    match outside_uncertainty(uncertainty, dimension) {
        Some(hint) => Err(hint),
        None => Ok(LoggedNumber {
            value,
            uncertainty: Some(uncertainty),
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::campaign::{Decimal, PlusMinusIs};

    const POINT: Marks = Marks {
        decimal: Decimal::Point,
        thousands: false,
        plus_minus: None,
    };

    fn fraction_with(
        text: &str,
        meant: PlusMinusIs,
        unit: Option<&str>,
    ) -> Result<LoggedNumber, String> {
        let marks = Marks {
            plus_minus: Some(meant),
            ..POINT
        };
        let unit = unit.and_then(Unit::named);
        let parts = around_plus_minus(text).unwrap();
        with_plus_minus("assay", parts, marks, Dimension::Fraction, unit)
    }

    #[test]
    fn what_stands_behind_plus_minus_is_what_the_campaign_file_says() {
        let read = |text, meant, unit| {
            let read = fraction_with(text, meant, unit).unwrap();
            (read.value, read.uncertainty.unwrap())
        };
        let close = |(value, u): (f64, f64), expected: [f64; 2]| {
            assert!((value - expected[0]).abs() < 1e-15 && (u - expected[1]).abs() < 1e-15);
        };
        close(
            read("0.284 ± 0.004", PlusMinusIs::Standard, None),
            [0.284, 0.004],
        );
        close(
            read("28.4 ± 0.4", PlusMinusIs::Twice, Some("%")),
            [0.284, 0.002],
        );
        close(
            read("28.4 ± 0.4 %", PlusMinusIs::Standard, None),
            [0.284, 0.004],
        );
        close(
            read("28.4 % +/- 0.4%", PlusMinusIs::Standard, Some("ppm")),
            [0.284, 0.004],
        );
        // JCGM 100:2008, 4.3.7.
        close(
            read("0.284±0.004", PlusMinusIs::Rectangular, None),
            [0.284, 0.004 / 3f64.sqrt()],
        );
        for text in [
            "28.4 % ± 0.4",
            "0.284 ± -0.004",
            "± 0.4",
            "0.284 ±",
            "0.284 ± 0.004 ± 1",
        ] {
            assert!(
                fraction_with(text, PlusMinusIs::Standard, None).is_err(),
                "{text}"
            );
        }
    }

    #[test]
    fn a_plus_minus_that_nothing_explains_is_refused() {
        let hint = with_plus_minus("assay", ("28.4 ", " 0.4"), POINT, Dimension::Fraction, None);
        let hint = hint.unwrap_err();
        assert!(
            hint.contains("plus_minus") && hint.contains("`u_assay`"),
            "{hint}"
        );
    }
}
