//! How the cells of one table are written, worked out once from all of them.
//!
//! In: the campaign file, the headings of a table and its cells. Out: [`Written`].
//! This module never reads a value.

use super::columns::Holds;
use super::dates::Orders;
use super::headings::Head;
use super::marks::Marks;
use crate::campaign::Logs;

/// Marks of the numbers of a table, and the order of the dates of each column.
#[derive(Default)]
pub(super) struct Written {
    /// Marks of all numbers.
    pub marks: Marks,
    /// One a column.
    pub orders: Vec<Orders>,
}

impl Written {
    /// Looks through the cells of each column, which `cells` gives by its position.
    pub fn of_table<'c, C: Iterator<Item = &'c str>>(
        logs: &Logs,
        heads: &[Head],
        cells: impl Fn(usize) -> C,
    ) -> Written {
        let all = || heads.iter().enumerate();
        let numbers = all().filter(|(_, head)| head.may_hold_numbers());
        let marks = Marks::of_table(logs, numbers.flat_map(|(column, _)| cells(column)));
        let orders = all().map(|(column, head)| match head.holds {
            Some(Holds::Date | Holds::Moment) => Orders::of_column(logs.dates, cells(column)),
            _ => Orders::default(),
        });
        Written {
            marks,
            orders: orders.collect(),
        }
    }
}
