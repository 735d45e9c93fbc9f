//! A row of the residues log.
//!
//! In: nothing. Out: [`ResidueRow`].
//! This module never reads a cell.

use super::cell_values::{LoggedDate, LoggedNumber};
use crate::error::Place;
use crate::name::Name;

/// Residue taken out of one run.
#[derive(Debug, Clone)]
pub struct ResidueRow {
    /// Where in the log.
    pub place: Place,
    /// Its run.
    pub run: Name,
    /// The day on which it was left, where one is logged.
    pub date: Option<LoggedDate>,
    /// Mass \[g\].
    pub mass: LoggedNumber,
    /// Assay [mass fraction].
    pub assay: Option<LoggedNumber>,
    /// Moisture [mass fraction].
    pub moisture: Option<LoggedNumber>,
    /// Contents of the impurities that are followed, in the order of the campaign file [mass fraction].
    pub impurities: Vec<Option<LoggedNumber>>,
    /// Assays of further elements, in the order of the campaign file [mass fraction].
    pub second: Vec<Option<LoggedNumber>>,
    /// The jar that it was put into with that of other runs.
    pub jar: Option<String>,
}
