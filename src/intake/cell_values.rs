//! Number and date as a cell of a log states them.
//!
//! In: nothing. Out: [`LoggedNumber`], [`LoggedDate`].
//! This module never reads a text.

use crate::name::Name;

/// A number as logged, in base units, with the standard uncertainty that the log states.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct LoggedNumber {
    /// The reading.
    pub value: f64,
    /// Standard uncertainty from a `u_` column.
    pub uncertainty: Option<f64>,
}

impl LoggedNumber {
    /// A reading whose uncertainty no log states.
    pub fn plain(value: f64) -> Self {
        LoggedNumber {
            value,
            uncertainty: None,
        }
    }
}

/// A date as logged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoggedDate {
    /// In ISO form, with the time of day where one is logged; sorts as text.
    pub text: Name,
    /// Days since the first day of the year 1.
    pub day: i32,
    /// The date with day and month exchanged, where figures alone say it and that is another date: in ISO form and in days.
    pub swapped: Option<(Name, i32)>,
}
