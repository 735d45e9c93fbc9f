//! A table as CSV.
//!
//! In: a [`Table`]. Out: a line of headings with their units, a line a row, figures with ten significant digits.
//! This module never rounds further, and never lets a spreadsheet take a name for a formula.

use super::cell_text::for_data;
use super::columns_and_cells::{Cell, Table};
use super::escape::csv;
use super::numbers::committed;

/// The whole table, its headings first.
pub(in crate::report) fn table(table: &Table) -> String {
    let seen = for_data(table);
    let headings = seen.columns.iter().map(|column| csv(&column.keyed()));
    let rows = seen
        .rows
        .iter()
        .map(|row| row.iter().map(|cell| shown(cell)).collect());
    let lines = std::iter::once(headings.collect()).chain(rows);
    lines
        .map(|cells: Vec<String>| cells.join(",") + "\n")
        .collect()
}

fn shown(cell: &Cell) -> String {
    match cell {
        Cell::Missing { .. } => String::new(),
        Cell::Text(text) | Cell::Link { text, .. } => csv(text),
        Cell::Count(number) => number.to_string(),
        // The minus of a figure is no formula.
        Cell::Chance(chance) => committed(*chance),
        Cell::Figure(figure) => figure.value.alone().map_or_else(String::new, committed),
    }
}
