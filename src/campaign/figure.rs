//! Figures with a unit and an uncertainty, as the campaign file writes them.
//!
//! In: texts such as `±0.05 g rectangular` or `900 g`. Out: [`Stated`], and amounts in base units.
//! This module never knows which key a figure belongs to.

use super::keys::ABOVE_ZERO;
use crate::measured::Distribution;
use crate::units::{Dimension, Unit};

/// An uncertainty as stated: a figure in base units and what it means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stated {
    /// Standard uncertainty, or half-width, in the base unit of the quantity.
    pub figure: f64,
    /// What the figure is.
    pub distribution: Distribution,
}

impl Stated {
    /// Standard uncertainty, k = 1, in the base unit of the quantity.
    pub fn standard_uncertainty(self) -> f64 {
        self.distribution.standard_uncertainty(self.figure)
    }
}

/// Uncertainties that a bench can have, in base units; squares of products of some of them stay far from the ends of
/// binary64.
const SIZES: std::ops::RangeInclusive<f64> = 1e-15..=1e9;

/// Reads an uncertainty: `0.1 g` (standard), `±0.05 g rectangular` or `±0.05 mL triangular` (half-widths).
pub(super) fn uncertainty(text: &str, dimension: Dimension) -> Result<Stated, String> {
    let mut rest = text.trim();
    let mut distribution = Distribution::Normal;
    for (word, meant) in [
        ("rectangular", Distribution::Rectangular),
        ("triangular", Distribution::Triangular),
        ("normal", Distribution::Normal),
    ] {
        if let Some(front) = rest.strip_suffix(word) {
            distribution = meant;
            rest = front.trim_end();
        }
    }
    let half_width = rest.strip_prefix('±').or_else(|| rest.strip_prefix("+-"));
    if half_width.is_some() && distribution == Distribution::Normal {
        let hint = "say which half-width `±` is: add `rectangular` or `triangular`, or write a standard uncertainty without `±`";
        return Err(hint.into());
    }
    let figure = quantity(half_width.unwrap_or(rest), dimension)?;
    if figure <= 0.0 {
        return Err("an uncertainty is above zero".into());
    }
    if !SIZES.contains(&figure) {
        return Err(format!(
            "no uncertainty of a bench is so {}: look for a slip in the exponent or the unit",
            if figure < 1.0 { "small" } else { "large" }
        ));
    }
    Ok(Stated {
        figure,
        distribution,
    })
}

/// Reads a difference or an amount with its unit: `900 g`, `0.5 %`, `0.005`; in base units.
pub(super) fn quantity(text: &str, dimension: Dimension) -> Result<f64, String> {
    let (figure, unit) = split(text);
    let value = finite(figure)?;
    if unit.is_empty() {
        let base = dimension.base();
        return match dimension {
            Dimension::Fraction | Dimension::Plain => Ok(value),
            _ => Err(format!("add the unit, such as `{figure} {base}`")),
        };
    }
    match Unit::of(unit, dimension) {
        Some(unit) => Ok(unit.difference_to_base(value)),
        None => Err(match dimension.unit_names() {
            Some(names) => format!("`{unit}` is none of the units that fit: {names}"),
            None => format!("take `{unit}` out: these numbers have no unit"),
        }),
    }
}

/// Reads what is measured, with its unit: `100 mL`, `0 degC`, `273.15 K`; a temperature may be a bare number of degC.
///
/// # Errors
/// What to write instead.
pub fn measure(text: &str, dimension: Dimension) -> Result<f64, String> {
    let plain = text.replace('\u{2212}', "-");
    let (figure, unit) = split(&plain);
    if unit.starts_with(',') {
        return Err("use a decimal point".into());
    }
    match (dimension, Unit::of(unit, dimension)) {
        (Dimension::Temperature, None) if unit.is_empty() => finite(figure),
        (Dimension::Temperature, Some(unit)) => Ok(unit.to_base(finite(figure)?)),
        (Dimension::Temperature, None) => quantity(text, dimension),
        _ => amount(text, dimension),
    }
}

/// Reads an amount above zero with its unit.
pub(super) fn amount(text: &str, dimension: Dimension) -> Result<f64, String> {
    let amount = quantity(text, dimension)?;
    let above_zero = (amount > 0.0).then_some(amount);
    above_zero.ok_or_else(|| "it must be above zero".into())
}

/// Reads minutes for one run: `6 min/run`, `0.1 h/run`.
pub(super) fn minutes_per_run(text: &str) -> Result<f64, String> {
    let shape = "write a time per run, such as `6 min/run`";
    let (time, per) = text.split_once('/').ok_or(shape)?;
    if per.trim() != "run" {
        return Err(shape.into());
    }
    let minutes = quantity(time.trim(), Dimension::Time)?;
    if minutes < 0.0 {
        return Err("a time is not negative".into());
    }
    Ok(minutes)
}

/// A figure and the text behind it.
pub(super) fn split(text: &str) -> (&str, &str) {
    let text = text.trim();
    let is_figure = |(at, sign): &(usize, char)| {
        let is_digit = |n: char| n.is_ascii_digit() || n == '-' || n == '+';
        let exponent = matches!(sign, 'e' | 'E') && text[at + 1..].starts_with(is_digit);
        sign.is_ascii_digit() || matches!(sign, '.' | '-' | '+') || exponent
    };
    let behind = text.char_indices().find(|sign| !is_figure(sign));
    let (figure, behind) = text.split_at(behind.map_or(text.len(), |(at, _)| at));
    (figure.trim(), behind.trim())
}

pub(super) fn finite(text: &str) -> Result<f64, String> {
    let value = text.parse().ok().filter(|value: &f64| value.is_finite());
    value.ok_or_else(|| format!("`{text}` is not a finite number; use a decimal point"))
}

/// A number as people write it: with a power of ten where zeros would fill the line.
pub(super) fn short(value: f64) -> String {
    match value == 0.0 || (1e-4..1e9).contains(&value.abs()) {
        true => value.to_string(),
        false => format!("{value:e}"),
    }
}

/// A range in words; its ends stand for no bound where no figure could reach them.
pub(super) fn range(low: f64, high: f64) -> String {
    let unbounded = high == f64::MAX;
    if low == f64::MIN_POSITIVE && unbounded {
        "it must be above 0".into()
    } else if low == ABOVE_ZERO {
        format!("it must be above 0, from {} to {}", short(low), short(high))
    } else if unbounded {
        format!("it must be at least {low}")
    } else {
        format!("it must lie between {} and {}", short(low), short(high))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_widths_become_standard_uncertainties() {
        // JCGM 100:2008, 4.3.7 and 4.3.9.
        let flat = uncertainty("±0.06 g rectangular", Dimension::Mass).unwrap();
        assert!((flat.standard_uncertainty() - 0.06 / 3f64.sqrt()).abs() < 1e-15);
        let peaked = uncertainty("±0.06 mL triangular", Dimension::Volume).unwrap();
        assert!((peaked.standard_uncertainty() - 0.06 / 6f64.sqrt()).abs() < 1e-15);
        let plain = uncertainty("0.1 g", Dimension::Mass).unwrap();
        assert_eq!(plain.standard_uncertainty(), 0.1);
    }

    #[test]
    fn uncertainties_that_no_bench_has_are_refused() {
        for text in ["1e300 g", "1e-300 g", "0 g", "-1 g"] {
            assert!(uncertainty(text, Dimension::Mass).is_err(), "{text}");
        }
    }

    #[test]
    fn a_half_width_without_its_shape_is_refused() {
        assert!(uncertainty("±0.06 g", Dimension::Mass).is_err());
    }

    #[test]
    fn units_are_needed_and_checked() {
        assert!(uncertainty("0.1", Dimension::Mass).is_err());
        assert!(uncertainty("0.1 mL", Dimension::Mass).is_err());
        assert_eq!(quantity("2 kg", Dimension::Mass), Ok(2000.0));
        assert_eq!(quantity("0.5 %", Dimension::Fraction), Ok(0.005));
        assert_eq!(quantity("1e-3 g", Dimension::Mass), Ok(0.001));
    }

    #[test]
    fn what_has_no_unit_is_told_so() {
        let hint = quantity("0.1 mL", Dimension::Plain).unwrap_err();
        assert_eq!(hint, "take `mL` out: these numbers have no unit");
        assert_eq!(minutes_per_run("6 min/run"), Ok(6.0));
    }
}
