//! Reasons why there is no figure for a liquor.
//!
//! In: what stood in the way. Out: [`Unknown`], [`OutOfTable`], [`NoCrop`], each a typed reason.
//! This module never decides whether there is a figure, and never says the reason in words.

/// Why nothing is known of the solubility of a product.
#[derive(Debug, Clone, PartialEq)]
pub enum Unknown {
    /// Neither the built-in table nor the campaign file has the salt.
    NoFigures {
        /// Formula of the salt, without hydrate water.
        salt: String,
    },
    /// The campaign file states the solubility of something that is not the product.
    OtherSalt {
        /// Formula of the salt in `[solubility]`.
        stated: String,
        /// Formula of the product.
        product: String,
    },
    /// Two of the campaign's points are for one temperature.
    SameTemperature {
        /// That temperature \[degC\].
        temperature: f64,
    },
    /// A point or the density of the campaign is no possible figure.
    Impossible {
        /// What the figure is of.
        what: &'static str,
        /// The figure.
        value: f64,
    },
}

/// Why the solubility at a temperature can't be read from a table.
#[derive(Debug, Clone, PartialEq)]
pub enum OutOfTable {
    /// The temperature lies outside the table.
    Outside {
        /// The temperature asked for \[degC\].
        temperature: f64,
        /// Lowest temperature of the table \[degC\].
        low: f64,
        /// Highest temperature of the table \[degC\].
        high: f64,
    },
    /// There is one point only.
    OnlyAt {
        /// The temperature asked for \[degC\].
        temperature: f64,
        /// The temperature of the point \[degC\].
        at: f64,
    },
    /// The solid changes between the two points beside that temperature, so that nothing joins them.
    SolidChanges {
        /// The temperature asked for \[degC\].
        temperature: f64,
        /// Where the solid changes, about \[degC\].
        near: f64,
        /// The last point before \[degC\].
        low: f64,
        /// The first point after \[degC\].
        high: f64,
    },
    /// The temperature is not a finite number.
    NotANumber,
}

/// Why the next crop can't be told.
#[derive(Debug, Clone, PartialEq)]
pub enum NoCrop {
    /// The solubility at that temperature is not known.
    Solubility(OutOfTable),
    /// A volume is negative or not a finite number.
    NotAVolume {
        /// That volume \[mL\].
        volume: f64,
    },
    /// The liquor would become more, not less.
    NotConcentrated {
        /// Volume before \[mL\].
        from: f64,
        /// Volume after \[mL\].
        to: f64,
    },
}
