//! A table as CSV.
//!
//! In: a [`Table`]. Out: a line of headings with their units, a line a row, figures with ten significant digits.
//! This module never rounds further, and never lets a spreadsheet take a name for a formula.

use super::escape::csv;
use super::said::{for_data, in_data};
use super::table::{Cell, Table};

/// The whole table, its headings first.
pub(in crate::report) fn table(table: &Table) -> String {
    let seen = for_data(table);
    let headings = seen.columns.iter().map(|column| csv(&column.keyed()));
    let mut text = line(headings.collect());
    for row in &seen.rows {
        text.push_str(&line(row.iter().map(|cell| shown(cell)).collect()));
    }
    text
}

fn line(cells: Vec<String>) -> String {
    cells.join(",") + "\n"
}

fn shown(cell: &Cell) -> String {
    let text = in_data(cell);
    match cell {
        // The minus of a figure is no formula.
        Cell::Count(_) | Cell::Chance(_) | Cell::Figure(_) => text,
        Cell::Missing { .. } | Cell::Text(_) | Cell::Link { .. } => csv(&text),
    }
}
