//! A table as Parquet.
//!
//! In: a [`Table`]. Out: the columns of its data, figures as numbers with ten significant digits, as in CSV.
//! This module never writes a name otherwise than it was logged: nothing in Parquet acts.

use super::cell_text::for_data;
use super::columns_and_cells::{Cell, Role, Table};
use super::numbers::committed_value;
use crate::error::Error;
use crate::sheets::{Values, parquet};

/// The whole table, a column of texts or of numbers for each of its data.
///
/// # Errors
/// What the writer of Parquet refuses.
pub(in crate::report) fn table(table: &Table) -> Result<Vec<u8>, Error> {
    let seen = for_data(table);
    let columns = seen.columns.iter().enumerate();
    let columns: Vec<(String, Values)> = columns
        .map(|(place, column)| {
            let cells = || {
                seen.rows
                    .iter()
                    .filter_map(move |row| row.get(place).copied())
            };
            let is_text = |cell: &Cell| matches!(cell, Cell::Text(_) | Cell::Link { .. });
            let is_figure = |cell: &Cell| number(cell).is_some();
            let has_texts = cells().any(is_text);
            let holds_texts = has_texts || column.role == Role::Words && !cells().any(is_figure);
            let values = match holds_texts {
                true => Values::Texts(cells().map(text).collect()),
                false => Values::Numbers(cells().map(number).collect()),
            };
            (column.keyed(), values)
        })
        .collect();
    parquet(&columns)
}

fn number(cell: &Cell) -> Option<f64> {
    let value = match cell {
        Cell::Missing { .. } | Cell::Text(_) | Cell::Link { .. } => None,
        Cell::Count(number) => Some(*number as f64),
        Cell::Chance(chance) => Some(*chance),
        Cell::Figure(figure) => figure.value.alone(),
    };
    value.map(committed_value).filter(|value| value.is_finite())
}

fn text(cell: &Cell) -> Option<String> {
    match cell {
        Cell::Text(text) | Cell::Link { text, .. } => Some(text.clone()),
        _ => number(cell).map(|number| format!("{number}")),
    }
}
