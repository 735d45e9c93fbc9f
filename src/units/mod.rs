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

/// The ways to write each unit, the first of which hints show; its dimension and its size in the base unit.
const UNITS: &[(&[&str], Dimension, f64)] = &[
    (&["g", "gram", "grams"], Dimension::Mass, 1.0),
    (&["kg", "kilogram", "kilograms"], Dimension::Mass, 1000.0),
    (&["mg", "milligram", "milligrams"], Dimension::Mass, 0.001),
    (&["t", "tonne", "tonnes"], Dimension::Mass, 1e6),
    (
        &[
            "mL",
            "ml",
            "cm3",
            "cm³",
            "millilitre",
            "millilitres",
            "milliliter",
            "milliliters",
        ],
        Dimension::Volume,
        1.0,
    ),
    (
        &["L", "l", "dm3", "dm³", "litre", "litres", "liter", "liters"],
        Dimension::Volume,
        1000.0,
    ),
    (
        &["mol/L", "mol/l", "mol/dm3", "mol/dm³", "M"],
        Dimension::Concentration,
        1.0,
    ),
    (
        &["mmol/L", "mmol/l", "mmol/dm3", "mmol/dm³", "mM"],
        Dimension::Concentration,
        0.001,
    ),
    (
        &["g/L", "g/l", "g/dm3", "g/dm³", "mg/mL", "mg/ml"],
        Dimension::MassConcentration,
        1.0,
    ),
    (&["mg/L", "mg/l"], Dimension::MassConcentration, 0.001),
    (
        &["g/mL", "g/ml", "g/cm3", "g/cm³"],
        Dimension::MassConcentration,
        1000.0,
    ),
    // Keyboards have an ordinal sign where the degree is looked for.
    (
        &["degC", "°C", "ºC", "℃", "deg C", "C"],
        Dimension::Temperature,
        1.0,
    ),
    (&["K", "kelvin"], Dimension::Temperature, 1.0),
    (&["s", "second", "seconds"], Dimension::Time, 1.0 / 60.0),
    (&["min", "minute", "minutes"], Dimension::Time, 1.0),
    (&["h", "hour", "hours"], Dimension::Time, 60.0),
    (&["d", "day", "days"], Dimension::Time, 1440.0),
    (&["1"], Dimension::Fraction, 1.0),
    (
        &[
            "%", "per cent", "percent", "pct", "wt%", "wt %", "w/w %", "% w/w", "m/m %", "% m/m",
        ],
        Dimension::Fraction,
        0.01,
    ),
    (&["g/g", "m/m", "w/w"], Dimension::Fraction, 1.0),
    (&["g/kg", "‰"], Dimension::Fraction, 0.001),
    (&["ppm"], Dimension::Fraction, 1e-6),
];

/// 0 degC in kelvin, exact by definition of the Celsius scale (SI brochure, 9th ed., 2.3.1).
const ZERO_CELSIUS: f64 = 273.15;

impl Unit {
    /// The unit of that name in any dimension; words may be written in capitals.
    pub fn named(text: &str) -> Option<Unit> {
        let is_word = text.len() > 3 && text.bytes().all(|b| b.is_ascii_alphabetic() || b == b' ');
        let is_meant = |name: &&str| *name == text || is_word && name.eq_ignore_ascii_case(text);
        let (names, dimension, factor) = UNITS
            .iter()
            .find(|(names, _, _)| names.iter().any(&is_meant))?;
        Some(Unit {
            dimension: *dimension,
            factor: *factor,
            offset: if names[0] == "K" { -ZERO_CELSIUS } else { 0.0 },
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

    /// An amount concentration as a mass concentration, of what has that molar mass [g/mol].
    pub fn by_molar_mass(self, molar_mass: f64) -> Unit {
        Unit {
            dimension: Dimension::MassConcentration,
            factor: self.factor * molar_mass,
            ..self
        }
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

    /// Names of all units of the dimension with commas between them, for hints; `None` for numbers without a unit.
    pub fn unit_names(self) -> Option<String> {
        let of_dimension = UNITS.iter().filter(|(_, of, _)| *of == self);
        let names: Vec<&str> = of_dimension.map(|(names, _, _)| names[0]).collect();
        (!names.is_empty()).then(|| names.join(", "))
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
        for name in UNITS.iter().flat_map(|(names, _, _)| *names) {
            let unit = Unit::named(name).unwrap();
            assert!((unit.from_base(unit.to_base(12.5)) - 12.5).abs() < 1e-12);
        }
    }

    #[test]
    fn no_way_to_write_a_unit_means_two() {
        let mut all: Vec<&str> = UNITS
            .iter()
            .flat_map(|(names, _, _)| *names)
            .copied()
            .collect();
        let count = all.len();
        all.sort_unstable();
        all.dedup();
        assert_eq!(all.len(), count);
    }

    #[test]
    fn a_unit_is_read_in_each_way_people_write_it() {
        for (written, in_base, dimension) in [
            ("hours", 60.0, Dimension::Time),
            ("Minutes", 1.0, Dimension::Time),
            ("days", 1440.0, Dimension::Time),
            ("ºC", 1.0, Dimension::Temperature),
            ("deg C", 1.0, Dimension::Temperature),
            ("Grams", 1.0, Dimension::Mass),
            ("liters", 1000.0, Dimension::Volume),
            ("cm³", 1.0, Dimension::Volume),
            ("dm3", 1000.0, Dimension::Volume),
            ("per cent", 0.01, Dimension::Fraction),
            ("wt%", 0.01, Dimension::Fraction),
            ("w/w %", 0.01, Dimension::Fraction),
            ("m/m", 1.0, Dimension::Fraction),
            ("‰", 0.001, Dimension::Fraction),
        ] {
            let unit = Unit::of(written, dimension).unwrap();
            assert_eq!(unit.difference_to_base(1.0), in_base, "{written}");
        }
        for no_unit in ["MIN", "G", "m", "mins", "lb", ""] {
            assert_eq!(Unit::named(no_unit), None, "{no_unit}");
        }
        assert_eq!(Dimension::Plain.unit_names(), None);
    }
}
