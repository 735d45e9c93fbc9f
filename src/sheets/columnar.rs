//! Typed columns written as Parquet, and such files put below one another.
//!
//! In: named columns of texts or numbers; files of the same columns. Out: a Parquet file as bytes, the same each time.
//! This module never rounds, and never writes a time.

use std::io::Cursor;

use polars::prelude::{
    Column, DataFrame, NamedFrom, ParquetCompression, ParquetReader, ParquetWriter, PolarsResult,
    SerReader, Series,
};

use crate::error::{Error, ErrorKind};

/// The values of one column, one a row.
#[derive(Debug, Clone, PartialEq)]
pub enum Values {
    /// Texts; none where a cell is empty.
    Texts(Vec<Option<String>>),
    /// Numbers; none where there is no figure.
    Numbers(Vec<Option<f64>>),
}

/// Columns of one length as a Parquet file.
///
/// # Errors
/// [`ErrorKind::Unwritable`] for two columns of one name or of different lengths.
pub fn parquet(columns: &[(String, Values)]) -> Result<Vec<u8>, Error> {
    let columns = columns.iter().map(|(name, values)| {
        let name = name.as_str().into();
        Column::from(match values {
            Values::Texts(texts) => Series::new(name, texts),
            Values::Numbers(numbers) => Series::new(name, numbers),
        })
    });
    let frame = DataFrame::new_infer_height(columns.collect());
    frame.and_then(written).map_err(|error| unwritten(&error))
}

/// Parquet files of the same columns below one another, each row with the name of its file in a first column `named`.
///
/// # Errors
/// [`ErrorKind::Unwritable`] where a file is none or has other columns than the first.
pub fn below_one_another(named: &str, files: &[(String, Vec<u8>)]) -> Result<Vec<u8>, Error> {
    let frames = files.iter().map(|(name, bytes)| {
        let mut frame = ParquetReader::new(Cursor::new(bytes)).finish()?;
        let names = vec![name.as_str(); frame.height()];
        frame.insert_column(0, Column::from(Series::new(named.into(), names)))?;
        Ok(frame)
    });
    let all = frames.reduce(|above, below: PolarsResult<DataFrame>| above?.vstack(&below?));
    let frame = all.unwrap_or_else(|| Ok(DataFrame::empty()));
    frame.and_then(written).map_err(|error| unwritten(&error))
}

fn written(mut frame: DataFrame) -> PolarsResult<Vec<u8>> {
    frame.rechunk_mut();
    let mut bytes = Vec::new();
    ParquetWriter::new(&mut bytes)
        .with_compression(ParquetCompression::Uncompressed)
        .finish(&mut frame)?;
    Ok(bytes)
}

fn unwritten(error: &dyn std::fmt::Display) -> Error {
    Error::new(
        ErrorKind::Unwritable,
        format!("a table cannot be written as Parquet: {error}"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(bytes: &[u8]) -> Vec<Vec<String>> {
        let frame = ParquetReader::new(Cursor::new(bytes)).finish().unwrap();
        let row = |row| {
            let cells = frame.columns().iter();
            cells.map(move |column| column.get(row).unwrap().to_string())
        };
        (0..frame.height()).map(|at| row(at).collect()).collect()
    }

    fn columns() -> Vec<(String, Values)> {
        let texts = ["B-1", "ß, \"x\""].map(|text| Some(text.to_string()));
        vec![
            ("run".to_string(), Values::Texts(texts.to_vec())),
            ("yield".to_string(), Values::Numbers(vec![Some(0.1), None])),
        ]
    }

    #[test]
    fn what_is_written_reads_back_and_is_the_same_each_time() {
        let bytes = parquet(&columns()).unwrap();
        assert_eq!(bytes, parquet(&columns()).unwrap());
        let kept = rows(&bytes);
        assert_eq!(kept[0], ["\"B-1\"", "0.1"]);
        assert!(kept[1][0].contains("ß, \"x") && kept[1][1] == "null");
    }

    #[test]
    fn files_stand_below_one_another_with_their_names() {
        let file = |name: &str| (name.to_string(), parquet(&columns()).unwrap());
        let all = below_one_another("campaign", &[file("a"), file("b")]).unwrap();
        let names: Vec<String> = rows(&all).iter().map(|row| row[0].clone()).collect();
        assert_eq!(names, ["\"a\"", "\"a\"", "\"b\"", "\"b\""]);
    }

    #[test]
    fn two_columns_of_one_name_are_refused() {
        let twice = [columns(), columns()].concat();
        assert!(parquet(&twice).is_err());
        assert!(below_one_another("a", &[("x".into(), b"none".to_vec())]).is_err());
    }
}
