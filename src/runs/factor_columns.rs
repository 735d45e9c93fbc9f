//! Factors and responses, a value for each run.
//!
//! In: nothing. Out: [`FactorColumn`] and [`ResponseColumn`].
//! This module never reads a log.

/// One factor, a value for each run.
#[derive(Debug, Clone)]
pub struct FactorColumn {
    /// Its name.
    pub name: String,
    /// Unit of an amount; empty for a choice.
    pub unit: String,
    /// Its values.
    pub values: FactorValues,
}

/// Values of a factor; `None` where a run has none.
#[derive(Debug, Clone)]
pub enum FactorValues {
    /// Numbers in the unit of the factor.
    Amount(Vec<Option<f64>>),
    /// Levels.
    Choice {
        /// Names, the baseline first, then in byte order.
        levels: Vec<String>,
        /// Position of the level of each run.
        codes: Vec<Option<usize>>,
    },
}

/// One response, a value for each run.
#[derive(Debug, Clone)]
pub struct ResponseColumn {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: ResponseKind,
    /// Its unit; empty when none is declared or logged.
    pub unit: String,
    /// Its values.
    pub values: Vec<Option<f64>>,
}

/// What a response is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ResponseKind {
    /// The contained yield, which is worked out.
    Yield,
    /// The purity of all crops together, which is worked out.
    Purity,
    /// A logged column that the campaign file declares.
    Declared,
}

impl FactorColumn {
    /// Levels of a choice, the baseline first; none of an amount.
    pub fn levels(&self) -> &[String] {
        match &self.values {
            FactorValues::Choice { levels, .. } => levels,
            FactorValues::Amount(_) => &[],
        }
    }

    /// The level of a run, by the position of the run among all results.
    pub fn level(&self, run: usize) -> Option<&str> {
        match &self.values {
            FactorValues::Choice { levels, codes } => codes[run].map(|code| levels[code].as_str()),
            FactorValues::Amount(_) => None,
        }
    }

    /// The amount of a run in the unit of the factor, by the position of the run among all results.
    pub fn amount(&self, run: usize) -> Option<f64> {
        match &self.values {
            FactorValues::Amount(values) => values[run],
            FactorValues::Choice { .. } => None,
        }
    }
}
