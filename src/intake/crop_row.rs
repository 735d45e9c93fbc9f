//! Row of the crops log as it was logged.
//!
//! In: nothing. Out: [`CropRow`], and the [`Drying`] of a sample of it.
//! This module never reads a cell.

use super::cell_values::LoggedNumber;
use crate::error::Place;
use crate::name::Name;

/// One crop.
#[derive(Debug, Clone)]
pub struct CropRow {
    /// Where in the log.
    pub place: Place,
    /// Its run.
    pub run: Name,
    /// Its number, from 1.
    pub crop: u32,
    /// Mass as weighed \[g\].
    pub mass: LoggedNumber,
    /// Free moisture [mass fraction].
    pub moisture: Option<LoggedNumber>,
    /// What a sample of it weighed before and after drying.
    pub drying: Option<Box<Drying>>,
    /// Liquor it was filtered from \[mL\].
    pub liquor_volume: Option<LoggedNumber>,
    /// Temperature of the filtration \[degC\].
    pub temperature: Option<LoggedNumber>,
    /// Contents of the impurities that are followed, in the order of the campaign file [mass fraction].
    pub impurities: Vec<Option<f64>>,
}

/// A drying, each mass with the dish \[g\].
#[derive(Debug, Clone, PartialEq)]
pub struct Drying {
    /// Of the sample as weighed.
    pub wet: LoggedNumber,
    /// Of the sample dried.
    pub dry: LoggedNumber,
    /// Of the empty dish.
    pub tare: LoggedNumber,
}

impl CropRow {
    /// Its free moisture as logged, else as its drying has it [mass fraction], of best estimates alone:
    /// `(wet − dry)/(wet − tare)`.
    pub fn moist(&self) -> Option<LoggedNumber> {
        self.moisture.or_else(|| {
            let Drying { wet, dry, tare } = self.drying.as_deref()?;
            let lost = (wet.value - dry.value) / (wet.value - tare.value);
            Some(LoggedNumber::plain(lost))
        })
    }
}
