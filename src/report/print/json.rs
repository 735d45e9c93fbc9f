//! A table as JSON.
//!
//! In: a [`Table`]. Out: one object a row, under the names that CSV uses, without their units.
//! This module never rounds: the report does it for files that are kept.

use serde_json::{Map, Value as Json, json};

use super::cell_text::for_data;
use super::columns_and_cells::{Cell, Table};

/// One object a row; null where there is no figure.
pub(in crate::report) fn rows(table: &Table) -> Json {
    let seen = for_data(table);
    let object = |row: &Vec<&Cell>| {
        let keys = seen.columns.iter().map(|column| column.key.clone());
        let cells = row.iter().map(|cell| shown(cell));
        Json::Object(keys.zip(cells).collect::<Map<String, Json>>())
    };
    seen.rows.iter().map(object).collect()
}

fn shown(cell: &Cell) -> Json {
    match cell {
        Cell::Missing { .. } => Json::Null,
        Cell::Text(text) | Cell::Link { text, .. } => json!(text),
        Cell::Count(number) => json!(number),
        Cell::Chance(chance) => json!(chance),
        Cell::Figure(figure) => json!(figure.value.alone()),
    }
}
