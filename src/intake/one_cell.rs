//! One cell by itself: the date or the number that its text is, read as in a log.
//!
//! In: a text, and how the campaign file says that logs are written. Out: the same values as in a row, or what to do about
//! the text.
//! This module never looks at other cells: what a column or a table shows beyond the text is not known here.

use std::iter;

use super::cell_values::{LoggedDate, LoggedNumber};
use super::dates;
use super::marks::Marks;
use super::number::outside;
use super::plus_minus;
use crate::campaign::Logs;
use crate::units::{Dimension, Unit};

/// The date that a text is, alone in its column.
///
/// # Errors
/// What to do about a text that is no date, or that can be two.
pub fn date_in(text: &str, logs: &Logs) -> Result<LoggedDate, String> {
    let orders = dates::Orders::of_column(logs.dates, iter::once(text));
    dates::date(text, orders).map_err(|refused| refused.hint)
}

/// The number that a text is, in base units, with the uncertainty behind its ±; without a unit it is in base units already.
///
/// # Errors
/// What to do about a text that is no number, or one outside the range of its dimension.
pub fn number_in(
    text: &str,
    logs: &Logs,
    dimension: Dimension,
    unit: Option<Unit>,
) -> Result<LoggedNumber, String> {
    let marks = Marks::plain(logs);
    let number = plus_minus::number("number", text, marks, dimension, unit)?;
    outside(number.value, dimension).map_or(Ok(number), Err)
}
