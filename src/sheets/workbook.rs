//! The door to calamine: sheets of a workbook as rows of text cells.
//!
//! In: the bytes of an `.xlsx`, `.ods` or `.xls` file, and the name of a sheet. Out: [`Cell`]s with their rows and columns.
//! This module never works a formula out: it takes the value that the spreadsheet program kept.

use std::fmt::Display;
use std::io::{Cursor, Read, Write};

use calamine::{CellErrorType, Data, ExcelDateTime, Ods, Reader, StyleRange, Xls, Xlsx};
use memchr::memmem;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use super::content::{MOST_UNPACKED, too_much, unreadable};
use super::mark::Mark;
use crate::error::Error;

/// Most cells of one sheet.
const MOST_CELLS: usize = 20_000_000;

/// One cell that holds anything; rows and columns are counted from 0.
pub(super) struct Cell {
    pub row: u32,
    pub column: u32,
    pub text: String,
}

/// A workbook that is open.
pub(super) struct Workbook<'b> {
    file: &'b str,
    kind: Kind,
    /// Names of its sheets, in their order.
    pub sheets: Vec<String>,
}

enum Kind {
    Xlsx(Box<Xlsx<Cursor<Vec<u8>>>>),
    Ods(Box<Ods<Cursor<Vec<u8>>>>),
    Xls(Box<Xls<Cursor<Vec<u8>>>>),
}

impl<'b> Workbook<'b> {
    /// Opens a workbook.
    ///
    /// # Errors
    /// What is no workbook, has a password, or unpacks to more than any log.
    pub fn open(file: &'b str, bytes: &[u8]) -> Result<Workbook<'b>, Error> {
        let content = || Cursor::new(bytes.to_vec());
        let kind = if !bytes.starts_with(b"PK") {
            Kind::Xls(Box::new(failed_or(file, Xls::new(content()))?))
        } else if is_open_document(file, bytes)? {
            let bytes = failed_or(file, without_percentages(bytes))?;
            Kind::Ods(Box::new(failed_or(file, Ods::new(Cursor::new(bytes)))?))
        } else {
            Kind::Xlsx(Box::new(failed_or(file, Xlsx::new(content()))?))
        };
        let sheets = match &kind {
            Kind::Xlsx(book) => book.sheet_names(),
            Kind::Ods(book) => book.sheet_names(),
            Kind::Xls(book) => book.sheet_names(),
        };
        Ok(Workbook { file, kind, sheets })
    }

    /// Whether the file tells which of its numbers are shown in per cent.
    pub fn tells_percentages(&self) -> bool {
        !matches!(self.kind, Kind::Xls(_))
    }

    /// The cells of a sheet that hold anything, row by row.
    ///
    /// # Errors
    /// A sheet that cannot be read, or that holds more cells than any log.
    pub fn cells(&mut self, sheet: &str, mark: Mark) -> Result<Vec<Cell>, Error> {
        let file = self.file;
        let range = match &mut self.kind {
            Kind::Xlsx(book) => return cells_of_xlsx(file, book, sheet, mark),
            Kind::Ods(book) => failed_or(file, book.worksheet_range(sheet)),
            Kind::Xls(book) => failed_or(file, book.worksheet_range(sheet)),
        }?;
        let (row, column) = range.start().unwrap_or_default();
        let used = range.used_cells().filter_map(|(r, c, value)| {
            Some(Cell {
                row: row + r as u32,
                column: column + c as u32,
                text: text_of(value, false, mark)?,
            })
        });
        Ok(used.collect())
    }
}

/// Cell by cell: the sheet as a whole may be as wide and long as its last cell says.
fn cells_of_xlsx(
    file: &str,
    book: &mut Xlsx<Cursor<Vec<u8>>>,
    sheet: &str,
    mark: Mark,
) -> Result<Vec<Cell>, Error> {
    let styles = failed_or(file, book.worksheet_style(sheet))?;
    let mut reader = failed_or(file, book.worksheet_cells_reader(sheet))?;
    let mut cells = Vec::new();
    while let Some(cell) = failed_or(file, reader.next_cell())? {
        let (row, column) = cell.get_position();
        let value = Data::from(cell.get_value().clone());
        let is_percentage = is_percentage(&styles, (row, column));
        cells.extend(text_of(&value, is_percentage, mark).map(|text| Cell { row, column, text }));
        if cells.len() > MOST_CELLS {
            let what = format!("sheet `{sheet}` of `{file}` holds more than {MOST_CELLS} cells");
            let hint = "check that it is the sheet you mean: a log is far shorter";
            return Err(unreadable(file, what, hint));
        }
    }
    Ok(cells)
}

fn is_percentage(styles: &StyleRange, at: (u32, u32)) -> bool {
    let style = styles.get(at);
    let format = style.and_then(|style| style.number_format.as_ref());
    // What stands in quotes is shown as it is, and multiplies nothing.
    let bare = |code: &str| code.split('"').step_by(2).any(|part| part.contains('%'));
    format.is_some_and(|format| bare(&format.format_code))
}

/// What a cell shows.
fn text_of(value: &Data, is_percentage: bool, mark: Mark) -> Option<String> {
    let text = match value {
        Data::Empty => return None,
        Data::String(text) | Data::DateTimeIso(text) | Data::DurationIso(text) => text.clone(),
        Data::Int(number) if is_percentage => mark.of(percentage(*number as f64)),
        Data::Float(number) if is_percentage => mark.of(percentage(*number)),
        Data::Int(number) => number.to_string(),
        // The shortest decimal that reads back as the same number.
        Data::Float(number) => mark.of(number.to_string()),
        Data::Bool(truth) => truth.to_string(),
        Data::DateTime(moment) => moment_of(moment),
        // What a formula that failed left is no value.
        Data::Error(CellErrorType::GettingData) => return None,
        Data::Error(error) => error.to_string(),
    };
    Some(text).filter(|text| !text.trim().is_empty())
}

/// A fraction in per cent, its decimal point moved without any arithmetic.
fn percentage(fraction: f64) -> String {
    let scientific = format!("{fraction:e}");
    let moved = scientific.split_once('e').and_then(|(digits, power)| {
        let power: i32 = power.parse().ok()?;
        format!("{digits}e{}", power + 2).parse::<f64>().ok()
    });
    format!("{}%", moved.unwrap_or(100.0 * fraction))
}

/// A date, with the time of day where it has one; a span of time alone as hours.
fn moment_of(moment: &ExcelDateTime) -> String {
    let (year, month, day, hour, minute, second, _) = moment.to_ymd_hms_milli();
    let days = moment.as_f64();
    if moment.is_duration() || days < 1.0 {
        let seconds = (days * 86_400.0).round() as i64;
        let (hours, minutes) = (seconds / 3600, seconds / 60 % 60);
        return format!("{hours}:{minutes:02}:{:02}", seconds % 60);
    }
    let date = format!("{year:04}-{month:02}-{day:02}");
    match (hour, minute, second) {
        (0, 0, 0) => date,
        (hour, minute, second) => format!("{date}T{hour:02}:{minute:02}:{second:02}"),
    }
}

/// Whether an archive is an OpenDocument file, and not one of Office Open XML or nothing that is known; looks through it without
/// holding it unpacked.
fn is_open_document(file: &str, bytes: &[u8]) -> Result<bool, Error> {
    let mut archive = failed_or(file, ZipArchive::new(Cursor::new(bytes)))?;
    let mut left = MOST_UNPACKED;
    let mut is_open_document = false;
    for position in 0..archive.len() {
        let part = failed_or(file, archive.by_index(position))?;
        is_open_document |= part.name().is_ok_and(|name| name == CONTENT);
        let mut part = part.take(left + 1);
        let held = failed_or(file, std::io::copy(&mut part, &mut std::io::sink()))?;
        left = left.checked_sub(held).ok_or_else(|| too_much(file))?;
    }
    Ok(is_open_document)
}

/// Where an OpenDocument file keeps its tables (ODF 1.3, part 2, 3.3).
const CONTENT: &str = "content.xml";

/// The same OpenDocument file, with its percentages written as text: the library gives their values alone, and `0.106` shown as
/// 10.6 % stands beside a plain 60.1 in one column of per cent.
fn without_percentages(bytes: &[u8]) -> zip::result::ZipResult<Vec<u8>> {
    let mut archive = ZipArchive::new(Cursor::new(bytes))?;
    let mut out = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    for position in 0..archive.len() {
        let mut part = archive.by_index(position)?;
        if part.is_dir() {
            continue;
        }
        let mut held = Vec::new();
        part.read_to_end(&mut held)?;
        let name = part.name()?.into_owned();
        out.start_file(name.as_str(), stored)?;
        if name == CONTENT {
            held = percentages_as_text(&held);
        }
        out.write_all(&held)?;
    }
    Ok(out.finish()?.into_inner())
}

/// Rewrites each start of a cell of that type (ODF 1.3, part 3, 19.387 and 19.386).
fn percentages_as_text(xml: &[u8]) -> Vec<u8> {
    const OF_TYPE: &[u8] = b"office:value-type=\"percentage\"";
    const VALUE: &[u8] = b" office:value=\"";
    let mut out = Vec::with_capacity(xml.len());
    let mut from = 0;
    for at in memmem::find_iter(xml, OF_TYPE) {
        let begin = memchr::memrchr(b'<', &xml[..at]).unwrap_or(0);
        let end = memchr::memchr(b'>', &xml[at..]).map_or(xml.len(), |end| at + end);
        let start = &xml[begin..end];
        let value = memmem::find(start, VALUE).and_then(|value| {
            let value = begin + value + VALUE.len();
            let length = memchr::memchr(b'"', &xml[value..end])?;
            let text = std::str::from_utf8(&xml[value..value + length]).ok()?;
            Some((value, length, text.parse::<f64>().ok()?))
        });
        if let Some((value, length, fraction)) = value.filter(|_| begin >= from) {
            let key = value - VALUE.len();
            out.extend_from_slice(&xml[from..key]);
            out.extend_from_slice(b" office:string-value=\"");
            out.extend_from_slice(percentage(fraction).as_bytes());
            from = value + length;
        }
    }
    out.extend_from_slice(&xml[from..]);
    out
}

/// What a library read of a file, or that it failed.
fn failed_or<T, E: Display>(file: &str, read: Result<T, E>) -> Result<T, Error> {
    read.map_err(|error| {
        let what = format!("`{file}` is not read as a workbook: {error}");
        let hint = "save it without a password as `.xlsx` or `.ods`, or save the sheet as CSV";
        unreadable(file, what, hint)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fraction_is_shown_in_per_cent_without_rounding() {
        for (fraction, text) in [(0.106, "10.6%"), (0.6, "60%"), (1.0, "100%"), (0.0, "0%")] {
            assert_eq!(percentage(fraction), text);
        }
    }

    #[test]
    fn percentages_of_open_documents_become_texts() {
        let xml = br#"<c office:value="7" office:value-type="float"/><c office:value-type="percentage" office:value="0.106"><p>11%</p></c>"#;
        let text = String::from_utf8(percentages_as_text(xml)).unwrap();
        assert_eq!(
            text,
            r#"<c office:value="7" office:value-type="float"/><c office:value-type="percentage" office:string-value="10.6%"><p>11%</p></c>"#
        );
    }
}
