//! Why is there no figure for the liquor?
//!
//! In: what stood in the way. Out: [`Unknown`], [`OutOfTable`], [`NoCrop`], each a typed reason with its advice.
//! This module never decides whether there is a figure.

use std::fmt;

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
        /// That temperature [degC].
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
        /// The temperature asked for [degC].
        temperature: f64,
        /// Lowest temperature of the table [degC].
        low: f64,
        /// Highest temperature of the table [degC].
        high: f64,
    },
    /// There is one point only.
    OnlyAt {
        /// The temperature asked for [degC].
        temperature: f64,
        /// The temperature of the point [degC].
        at: f64,
    },
    /// The solid changes between the two points beside that temperature, so that nothing joins them.
    SolidChanges {
        /// The temperature asked for [degC].
        temperature: f64,
        /// Where the solid changes, about [degC].
        near: f64,
        /// The last point before [degC].
        low: f64,
        /// The first point after [degC].
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
        /// That volume [mL].
        volume: f64,
    },
    /// The liquor would become more, not less.
    NotConcentrated {
        /// Volume before [mL].
        from: f64,
        /// Volume after [mL].
        to: f64,
    },
}

impl Unknown {
    /// What to do about it.
    pub fn advice(&self) -> &'static str {
        match self {
            Unknown::NoFigures { .. } => {
                "give points under `[solubility]`, in g of the anhydrous salt per 100 g of water"
            }
            Unknown::OtherSalt { .. } => "state the solubility of the product, without its water",
            Unknown::SameTemperature { .. } => "keep one of them",
            Unknown::Impossible { .. } => "give a finite figure: none below zero, a density above",
        }
    }
}

impl OutOfTable {
    /// What to do about it.
    pub fn advice(&self) -> &'static str {
        match self {
            OutOfTable::NotANumber => "log the temperature of the filtration",
            _ => "give points under `[solubility]` on both sides of that temperature",
        }
    }
}

impl NoCrop {
    /// What to do about it.
    pub fn advice(&self) -> &'static str {
        match self {
            NoCrop::Solubility(reason) => reason.advice(),
            _ => "give both volumes in mL at the temperature of the filtration, the larger first",
        }
    }
}

impl fmt::Display for Unknown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unknown::NoFigures { salt } => {
                write!(f, "no solubility is known of `{salt}`")
            }
            Unknown::OtherSalt { stated, product } => write!(
                f,
                "the solubility stated is that of `{stated}`, not of the product `{product}`"
            ),
            Unknown::SameTemperature { temperature } => {
                write!(f, "two solubilities are stated for {temperature} degC")
            }
            Unknown::Impossible { what, value } => {
                write!(f, "the {what} stated is not possible: {value}")
            }
        }
    }
}

impl fmt::Display for OutOfTable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            OutOfTable::Outside {
                temperature,
                low,
                high,
            } => write!(
                f,
                "the solubility is known from {low} to {high} degC, not at {temperature} degC"
            ),
            OutOfTable::OnlyAt { temperature, at } => write!(
                f,
                "the solubility is known at {at} degC only, not at {temperature} degC"
            ),
            OutOfTable::SolidChanges {
                temperature,
                near,
                low,
                high,
            } => write!(
                f,
                "the solid changes near {near} degC, so the solubility at {temperature} degC can't be read between {low} and {high} degC"
            ),
            OutOfTable::NotANumber => write!(f, "the temperature is not a finite number"),
        }
    }
}

impl fmt::Display for NoCrop {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoCrop::Solubility(reason) => reason.fmt(f),
            NoCrop::NotAVolume { volume } => {
                write!(f, "a volume of liquor can't be {volume} mL")
            }
            NoCrop::NotConcentrated { from, to } => {
                write!(f, "from {from} to {to} mL the liquor is not concentrated")
            }
        }
    }
}

impl From<OutOfTable> for NoCrop {
    fn from(reason: OutOfTable) -> Self {
        NoCrop::Solubility(reason)
    }
}

impl std::error::Error for Unknown {}
impl std::error::Error for OutOfTable {}
impl std::error::Error for NoCrop {}
