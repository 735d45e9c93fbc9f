//! Doubts of the bench: titrants, control samples and drying that speak against one another.
//!
//! In: figures and names. Out: [`AtTheBench`], one variant for each kind.
//! This module never says a doubt in words and never judges whether it matters.

use super::parts_of_doubts::PlusMinus;

/// What was seen at the bench.
#[derive(Debug, Clone, PartialEq)]
pub enum AtTheBench {
    /// The strength of a titrant changes with the days, and not along a line.
    TitrantWanders {
        /// Standardisations with a date.
        standardisations: usize,
        /// Lowest of them [mol/L].
        low: f64,
        /// Highest of them [mol/L].
        high: f64,
        /// How titrations with it lie to them.
        dates: DatesOfTitres,
    },
    /// The control sample was found off what is stated, beyond the uncertainty of that.
    ControlOff {
        /// By how much, relative; of runs on several days the furthest.
        bias: PlusMinus,
        /// How often the control was titrated.
        titrations: usize,
        /// Runs whose purity it touches.
        runs: Vec<String>,
        /// Out of so many that were titrated.
        of: usize,
        /// Whether the uncertainty of its purity is stated.
        stated: bool,
    },
    /// Purities were corrected by the control sample.
    ControlCorrected {
        /// How far it was found off, relative, in the mean.
        bias: PlusMinus,
        /// How often it was titrated.
        titrations: usize,
        /// Whether each day has a bias of its own.
        by_day: bool,
    },
    /// Two ways tell something of a crop, and they disagree.
    WaysDisagree {
        /// The crop.
        crop: u32,
        /// What they tell.
        of: ToldTwice,
        /// By the way that counts [mass fraction].
        used: PlusMinus,
        /// By the other [mass fraction].
        other: PlusMinus,
    },
    /// Purities are what moisture and impurities leave.
    PurityByDifference {
        /// Runs with such a crop.
        runs: Vec<String>,
        /// Out of so many whose purity is known.
        of: usize,
        /// What was looked for beside moisture.
        looked_for: Vec<String>,
    },
    /// The control sample was titrated too seldom to tell a bias.
    ControlTooFew {
        /// How often.
        titrations: usize,
        /// Whether the campaign file asks for a correction.
        wanted: bool,
    },
}

/// What two ways tell of a crop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ToldTwice {
    /// Its moisture, by an entry and by drying.
    Moisture,
    /// Its purity, by titres and by ignition.
    Purity,
}

/// How titrations lie to the days on which their titrant, or a control sample, was measured.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct DatesOfTitres {
    /// How many there are.
    pub titrations: usize,
    /// How many take the day of their run.
    pub of_runs: usize,
    /// How many have no day at all.
    pub undated: usize,
    /// How many lie before the first day or behind the last.
    pub outside: usize,
    /// By how many days the furthest of these.
    pub furthest: i32,
}
