//! The door to polars: records become columns of text.
//!
//! In: a [`Layout`]. Out: plain text cells.
//! This module never lets polars guess a type, count, group or add: cells stay text so that line and value
//! stay known and sums do not depend on chunks.

use std::io::Cursor;
use std::sync::Arc;

use polars::prelude::{
    CsvParseOptions, CsvReadOptions, DataType, Field, PolarsResult, Schema, SerReader,
};

use super::scan::{Layout, cell_count, partings};
use crate::error::{Error, ErrorKind};

/// Cells of one column, the heading first; an empty cell is `None`.
pub(super) type Column = Vec<Option<String>>;

/// Cells of all records below the columns of the heading; what a record has beyond these is left out.
///
/// # Errors
/// What polars cannot read, or reads as another number of rows.
pub(super) fn columns(file: &str, layout: &Layout) -> Result<Vec<Column>, Error> {
    let unreadable = |message: String, hint: &str| {
        let fault = Error::new(ErrorKind::Unreadable, format!("`{file}` {message}"));
        fault.in_file(file).hint(hint)
    };
    let columns = split(layout).map_err(|error| {
        unreadable(
            format!("cannot be read as CSV: {error}"),
            "check separators and quotes",
        )
    })?;
    if columns.iter().any(|c| c.len() != layout.records.len()) {
        return Err(unreadable(
            "cannot be cut into rows without doubt".into(),
            "look for quotes inside cells; a quote inside a quoted cell is written twice",
        ));
    }
    Ok(columns)
}

fn split(layout: &Layout) -> PolarsResult<Vec<Column>> {
    let width = cell_count(&layout.records[0].text, layout.separator);
    let schema: Schema = (0..width)
        .map(|column| Field::new(format!("{column}").into(), DataType::String))
        .collect();
    let parse = CsvParseOptions::default()
        .with_separator(layout.separator as u8)
        .with_quote_char(Some(b'"'))
        .with_eol_char(b'\n');
    let lines = layout.records.iter().flat_map(|record| {
        let end = partings(&record.text, layout.separator).nth(width - 1);
        [&record.text[..end.unwrap_or(record.text.len())], "\n"]
    });
    let text: String = lines.collect();
    let frame = CsvReadOptions::default()
        .with_has_header(false)
        .with_schema(Some(Arc::new(schema)))
        .with_parse_options(parse)
        .into_reader_with_file_handle(Cursor::new(text.into_bytes()))
        .finish()?;
    let cell = |text: &str| Some(text.trim().to_string()).filter(|text| !text.is_empty());
    frame
        .columns()
        .iter()
        .map(|column| {
            Ok(column
                .str()?
                .iter()
                .map(|text| text.and_then(cell))
                .collect())
        })
        .collect()
}
