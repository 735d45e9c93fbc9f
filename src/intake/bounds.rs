//! Ranges that readings of a bench lie in.
//!
//! In: a number in base units and what it measures. Out: a hint with the range, where the number lies outside.
//! This module never judges a figure that could be true: the ranges are wider than any vessel, balance or burette.

use crate::units::Dimension;

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
