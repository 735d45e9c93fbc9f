//! Row of the crops log as it was logged.
//!
//! In: nothing. Out: [`CropRow`], and what a sample of it weighed before and after, [`Weighings`].
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
    pub drying: Option<Box<Weighings>>,
    /// What a sample of it weighed before and after ignition.
    pub ignition: Option<Box<Weighings>>,
    /// Liquor it was filtered from \[mL\].
    pub liquor_volume: Option<LoggedNumber>,
    /// Temperature of the filtration \[degC\].
    pub temperature: Option<LoggedNumber>,
    /// Contents of the impurities that are followed, in the order of the campaign file [mass fraction].
    pub impurities: Vec<Option<LoggedNumber>>,
}

/// A sample before and after it was dried or ignited, each mass with the dish \[g\].
#[derive(Debug, Clone, PartialEq)]
pub struct Weighings {
    /// Of the sample as weighed.
    pub before: LoggedNumber,
    /// Of what was left of it.
    pub after: LoggedNumber,
    /// Of the empty dish.
    pub tare: LoggedNumber,
}

impl Weighings {
    /// The part of the sample that was left \[fraction\], of best estimates alone.
    pub fn left(&self) -> f64 {
        (self.after.value - self.tare.value) / (self.before.value - self.tare.value)
    }
}

impl CropRow {
    /// Its free moisture as logged, else as its drying has it [mass fraction], of best estimates alone.
    pub fn moist(&self) -> Option<LoggedNumber> {
        self.moisture.or_else(|| {
            let drying = self.drying.as_deref()?;
            Some(LoggedNumber::plain(1.0 - drying.left()))
        })
    }
}
