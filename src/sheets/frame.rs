//! The door to polars: columns of text cells, from CSV, Parquet or rows, and the numbers in them.
//!
//! In: separated text without doubt, a Parquet file, rows of texts. Out: [`Cells`].
//! This module never adds or groups: sums of a frame depend on its chunks. It lets polars guess no type of a text.

use std::fmt::Display;
use std::io::Cursor;
use std::sync::Arc;

use polars::prelude::{
    AnyValue, ArrowDataType, ChunkCast, ChunkFullNull, CsvParseOptions, CsvReadOptions, DataType,
    Field, Float64Chunked, Float64Type, NewChunkedArray, ParquetReader, PolarsDataType,
    PolarsResult, Schema, SerReader, StringChunked, StringType,
};

use super::content::unreadable;
use super::mark::Mark;
use crate::error::Error;

/// The cells of one column.
#[derive(Debug, Clone)]
pub struct Cells {
    column: StringChunked,
    /// The same in one piece, where nothing has to be sought.
    texts: <StringType as PolarsDataType>::Array,
}

/// What the cells of a column are as numbers, where they are plain ones.
#[derive(Debug, Clone)]
pub struct Numbers(<Float64Type as PolarsDataType>::Array);

impl Cells {
    /// A column of those texts.
    pub fn new(texts: Vec<Option<String>>) -> Cells {
        let texts = texts.into_iter();
        Cells::of(&StringChunked::from_iter_options("".into(), texts))
    }

    fn of(column: &StringChunked) -> Cells {
        let column = column.rechunk().into_owned();
        let texts = column.downcast_as_array().clone();
        Cells { column, texts }
    }

    /// Text of a cell without blanks at its ends; `None` where there is no more.
    pub fn get(&self, row: usize) -> Option<&str> {
        let text = self.texts.get(row)?;
        let is_bare = |byte: Option<&u8>| byte.is_some_and(u8::is_ascii_graphic);
        let bytes = text.as_bytes();
        if is_bare(bytes.first()) && is_bare(bytes.last()) {
            return Some(text);
        }
        Some(text.trim()).filter(|text| !text.is_empty())
    }

    /// Bytes of the longest cell.
    pub fn longest(&self) -> usize {
        let lengths = self.texts.views().iter().map(|view| view.length);
        lengths.max().unwrap_or(0) as usize
    }

    /// How many cells there are.
    pub(super) fn len(&self) -> usize {
        self.column.len()
    }

    /// The cells as numbers: those that hold nothing but a number with a decimal point.
    pub fn numbers(&self) -> Numbers {
        let cast = self.column.cast(&DataType::Float64);
        let numbers = cast.and_then(|numbers| Ok(numbers.f64()?.rechunk().into_owned()));
        let none = || Float64Chunked::full_null("".into(), self.len());
        let numbers = numbers.unwrap_or_else(|_| none());
        Numbers(numbers.downcast_as_array().clone())
    }
}

impl Numbers {
    /// Whether all cells but those are numbers, though perhaps infinite ones.
    pub fn are_all_but(&self, rows: &[usize]) -> bool {
        let valid = self.0.validity();
        let is_none = |row: &&usize| valid.is_some_and(|valid| !valid.get_bit(**row));
        valid.map_or(0, |valid| valid.unset_bits()) == rows.iter().filter(is_none).count()
    }

    /// The finite number that a cell holds.
    pub fn get(&self, row: usize) -> Option<f64> {
        let valid = self.0.validity();
        let is_number = valid.is_none_or(|valid| valid.get_bit(row));
        let number = self.0.values().get(row).copied();
        number.filter(|number| is_number && number.is_finite())
    }
}

/// Cuts records of one separated text into so many columns.
pub(super) fn of_text(
    file: &str,
    text: &str,
    separator: char,
    width: usize,
    rows: usize,
) -> Result<Vec<Cells>, Error> {
    let hint = "look for quotes inside cells; a quote inside a quoted cell is written twice";
    let columns = split(text, separator, width)
        .map_err(|error| unreadable(file, format!("`{file}` is not read as CSV: {error}"), hint))?;
    if columns.iter().any(|column| column.len() != rows) {
        let what = format!("`{file}` cannot be cut into rows without doubt");
        return Err(unreadable(file, what, hint));
    }
    Ok(columns)
}

fn split(text: &str, separator: char, width: usize) -> PolarsResult<Vec<Cells>> {
    let field = |column: usize| Field::new(column.to_string().into(), DataType::String);
    let schema: Schema = (0..width).map(field).collect();
    let parse = CsvParseOptions::default()
        .with_separator(separator as u8)
        .with_quote_char(Some(b'"'))
        .with_eol_char(b'\n');
    let frame = CsvReadOptions::default()
        .with_has_header(false)
        .with_rechunk(true)
        .with_schema(Some(Arc::new(schema)))
        .with_parse_options(parse)
        .into_reader_with_file_handle(Cursor::new(text.as_bytes()))
        .finish()?;
    let columns = frame.columns().iter();
    let mut cells = columns.map(|column| Ok(Cells::of(column.str()?)));
    cells.by_ref().collect()
}

/// The columns of a Parquet file, the name of each above its values.
///
/// # Errors
/// What polars cannot read, and columns of lists or other things that no cell of a log holds.
pub(super) fn of_parquet(file: &str, bytes: &[u8], mark: Mark) -> Result<Vec<Cells>, Error> {
    let failed = |error: &dyn Display| {
        let what = format!("`{file}` is not read as Parquet: {error}");
        unreadable(file, what, "write it again, or save the log as CSV")
    };
    let mut reader = ParquetReader::new(Cursor::new(bytes));
    let schema = reader.schema().map_err(|error| failed(&error))?;
    if let Some(field) = schema.iter_values().find(|field| !is_cell(field.dtype())) {
        let name = &field.name;
        let what = format!("column `{name}` of `{file}` holds neither texts, numbers nor dates");
        let hint = "write it as text, or leave it out of the file";
        return Err(unreadable(file, what, hint));
    }
    let frame = reader.finish().map_err(|error| failed(&error))?;
    let columns = frame.columns().iter().map(|column| {
        let name = Some(column.name().to_string());
        let values = (0..frame.height()).map(|row| {
            let value = column.get(row).map_err(|error| failed(&error))?;
            Ok(text_of(&value, mark))
        });
        let texts: Result<Vec<Option<String>>, Error> =
            [Ok(name)].into_iter().chain(values).collect();
        texts.map(Cells::new)
    });
    columns.collect()
}

fn is_cell(dtype: &ArrowDataType) -> bool {
    use ArrowDataType as T;
    matches!(
        dtype,
        T::Null
            | T::Boolean
            | T::Int32
            | T::Int64
            | T::UInt32
            | T::UInt64
            | T::Float32
            | T::Float64
            | T::Utf8
            | T::LargeUtf8
            | T::Utf8View
            | T::Date32
            | T::Timestamp(_, None)
    )
}

fn text_of(value: &AnyValue, mark: Mark) -> Option<String> {
    match value {
        AnyValue::Null => None,
        AnyValue::String(text) => Some((*text).to_string()),
        AnyValue::StringOwned(text) => Some(text.to_string()),
        // The shortest decimal that reads back as the same number.
        AnyValue::Float64(number) => Some(mark.of(number.to_string())),
        AnyValue::Float32(number) => Some(mark.of(number.to_string())),
        AnyValue::Datetime(..) => Some(value.to_string().replacen(' ', "T", 1)),
        other => Some(other.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_are_undone_and_short_rows_end_in_nothing() {
        let text = "run,note,mass\nA,\"5\"\" pipe, long\", 2.5 \nB,x\n";
        let columns = of_text("log.csv", text, ',', 3, 3).unwrap();
        let row = |row: usize| -> Vec<Option<&str>> {
            columns.iter().map(|column| column.get(row)).collect()
        };
        assert_eq!(row(1), [Some("A"), Some("5\" pipe, long"), Some("2.5")]);
        assert_eq!(row(2), [Some("B"), Some("x"), None]);
    }

    #[test]
    fn plain_numbers_are_cast_to_the_nearest_and_nothing_else_is() {
        let texts = [
            "0.1", "-1.5e-3", "2114.6", "12,4", "82 %", "NaN", "inf", "1e999", "",
        ];
        let cells = Cells::new(texts.map(|text| Some(text.to_string())).to_vec());
        let numbers = cells.numbers();
        let found: Vec<Option<f64>> = (0..texts.len()).map(|row| numbers.get(row)).collect();
        let mut wanted = vec![Some(0.1), Some(-0.0015), Some(2114.6)];
        wanted.resize(texts.len(), None);
        assert_eq!(found, wanted);
    }
}
