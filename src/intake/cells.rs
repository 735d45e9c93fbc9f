//! The door to polars: records become columns of text.
//!
//! In: a [`Layout`]. Out: plain text cells.
//! This module never lets polars guess a type, count, group or add: cells stay text so that line and value
//! stay known and sums do not depend on chunks.

use std::io::Cursor;
use std::sync::Arc;

use polars::prelude::{CsvParseOptions, CsvReadOptions, DataType, Field, Schema, SerReader};

use super::scan::Layout;
use crate::error::{Error, ErrorKind};

/// Cells of equally long records, column by column; an empty cell is `None`.
pub(super) fn columns(
    file: &str,
    layout: &Layout,
    records: &[&str],
    width: usize,
) -> Result<Vec<Vec<Option<String>>>, Error> {
    let unreadable = |error: polars::error::PolarsError| {
        Error::new(
            ErrorKind::Unreadable,
            format!("`{file}` cannot be read as CSV: {error}"),
        )
        .in_file(file)
        .hint("check separators and quotes")
    };
    let schema: Schema = (0..width)
        .map(|column| Field::new(format!("{column}").into(), DataType::String))
        .collect();
    let options = CsvReadOptions::default()
        .with_has_header(false)
        .with_schema(Some(Arc::new(schema)))
        .with_parse_options(
            CsvParseOptions::default()
                .with_separator(layout.separator as u8)
                .with_quote_char(Some(b'"'))
                .with_eol_char(b'\n'),
        );
    let mut text = records.join("\n");
    text.push('\n');
    let frame = options
        .into_reader_with_file_handle(Cursor::new(text.into_bytes()))
        .finish()
        .map_err(unreadable)?;
    let mut columns = Vec::with_capacity(width);
    for column in frame.columns() {
        let texts = column.str().map_err(unreadable)?;
        columns.push(
            texts
                .iter()
                .map(|cell| {
                    cell.map(str::trim)
                        .filter(|text| !text.is_empty())
                        .map(str::to_string)
                })
                .collect(),
        );
    }
    Ok(columns)
}
