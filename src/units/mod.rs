//! What a number is counted in: the units that headings and the campaign file may use.
//!
//! In: the text of a unit and the dimension expected. Out: [`Unit`], which converts to the base unit.
//! This module never guesses a dimension from a value.

/// What sort of quantity a column holds; each has one base unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Dimension {
    /// Base unit g.
    Mass,
    /// Base unit mL.
    Volume,
    /// Amount concentration, base unit mol/L.
    Concentration,
    /// Mass concentration, base unit g/L.
    MassConcentration,
    /// Base unit degC.
    Temperature,
    /// Base unit min.
    Time,
    /// Mass fraction or other fraction, base unit 1.
    Fraction,
    /// A number without a unit, such as a ratio of amounts.
    Plain,
}

/// A unit of one dimension.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// What it measures.
    pub dimension: Dimension,
    /// How many base units one of it is.
    factor: f64,
    /// Added after the factor, for temperatures.
    offset: f64,
}

/// Names of each unit, its dimension and its size in the base unit.
const UNITS: &[(&str, Dimension, f64)] = &[
    ("g", Dimension::Mass, 1.0),
    ("kg", Dimension::Mass, 1000.0),
    ("mg", Dimension::Mass, 0.001),
    ("t", Dimension::Mass, 1e6),
    ("mL", Dimension::Volume, 1.0),
    ("ml", Dimension::Volume, 1.0),
    ("cm3", Dimension::Volume, 1.0),
    ("L", Dimension::Volume, 1000.0),
    ("l", Dimension::Volume, 1000.0),
    ("mol/L", Dimension::Concentration, 1.0),
    ("mol/l", Dimension::Concentration, 1.0),
    ("mmol/L", Dimension::Concentration, 0.001),
    ("mmol/l", Dimension::Concentration, 0.001),
    ("M", Dimension::Concentration, 1.0),
    ("g/L", Dimension::MassConcentration, 1.0),
    ("g/l", Dimension::MassConcentration, 1.0),
    ("mg/L", Dimension::MassConcentration, 0.001),
    ("mg/mL", Dimension::MassConcentration, 1.0),
    ("g/mL", Dimension::MassConcentration, 1000.0),
    ("degC", Dimension::Temperature, 1.0),
    ("°C", Dimension::Temperature, 1.0),
    ("C", Dimension::Temperature, 1.0),
    ("K", Dimension::Temperature, 1.0),
    ("s", Dimension::Time, 1.0 / 60.0),
    ("min", Dimension::Time, 1.0),
    ("h", Dimension::Time, 60.0),
    ("d", Dimension::Time, 1440.0),
    ("1", Dimension::Fraction, 1.0),
    ("%", Dimension::Fraction, 0.01),
    ("g/g", Dimension::Fraction, 1.0),
    ("g/kg", Dimension::Fraction, 0.001),
    ("ppm", Dimension::Fraction, 1e-6),
];

/// 0 degC in kelvin, exact by definition of the Celsius scale (SI brochure, 9th ed., 2.3.1).
const ZERO_CELSIUS: f64 = 273.15;

impl Unit {
    /// The unit of that name in any dimension.
    pub fn named(text: &str) -> Option<Unit> {
        UNITS
            .iter()
            .find(|(name, _, _)| *name == text)
            .map(|&(name, dimension, factor)| Unit {
                dimension,
                factor,
                offset: if name == "K" { -ZERO_CELSIUS } else { 0.0 },
            })
    }

    /// The unit of that name, if it measures the dimension.
    pub fn of(text: &str, dimension: Dimension) -> Option<Unit> {
        Unit::named(text).filter(|unit| unit.dimension == dimension)
    }

    /// A value in this unit, in base units.
    pub fn to_base(self, value: f64) -> f64 {
        value * self.factor + self.offset
    }

    /// A difference or an uncertainty in this unit, in base units.
    pub fn difference_to_base(self, difference: f64) -> f64 {
        difference * self.factor
    }

    /// A value in base units, in this unit.
    pub fn from_base(self, value: f64) -> f64 {
        (value - self.offset) / self.factor
    }
}

impl Dimension {
    /// Name of the base unit.
    pub fn base(self) -> &'static str {
        match self {
            Dimension::Mass => "g",
            Dimension::Volume => "mL",
            Dimension::Concentration => "mol/L",
            Dimension::MassConcentration => "g/L",
            Dimension::Temperature => "degC",
            Dimension::Time => "min",
            Dimension::Fraction | Dimension::Plain => "1",
        }
    }

    /// Names of all units of the dimension, for hints.
    pub fn unit_names(self) -> Vec<&'static str> {
        UNITS
            .iter()
            .filter(|(_, dimension, _)| *dimension == self)
            .map(|(name, _, _)| *name)
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kelvin_are_shifted_but_their_differences_are_not() {
        let kelvin = Unit::of("K", Dimension::Temperature).unwrap();
        assert_eq!(kelvin.to_base(273.15), 0.0);
        assert_eq!(kelvin.difference_to_base(2.0), 2.0);
    }

    #[test]
    fn a_unit_of_another_dimension_is_refused() {
        assert!(Unit::of("mL", Dimension::Mass).is_none());
    }

    #[test]
    fn values_come_back_from_base_units() {
        for (name, _, _) in UNITS {
            let unit = Unit::named(name).unwrap();
            assert!((unit.from_base(unit.to_base(12.5)) - 12.5).abs() < 1e-12);
        }
    }
}
