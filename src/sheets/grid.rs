//! Grid of text cells, whatever kind of file they come from.
//!
//! In: the bytes of a file, which sheet, how its texts are written. Out: [`Grid`].
//! This module never tells headings from values.

use super::content::{Content, content, unreadable};
use super::damaged::unless_damaged;
use super::frame::{self, Cells};
use super::limits;
use super::mark::Mark;
use super::records::records;
use super::row::Row;
use super::workbook::Workbook;
use crate::error::{Error, ErrorKind};

/// A file and how its texts are written.
#[derive(Debug, Clone, Copy)]
pub struct File<'b> {
    /// What messages call it.
    pub name: &'b str,
    /// Its content.
    pub bytes: &'b [u8],
    /// Separator of a text, where it is known.
    pub separator: Option<char>,
    /// Decimal mark.
    pub mark: Mark,
}

/// Rows of cells.
#[derive(Debug, Clone, Default)]
pub struct Grid {
    /// Separator of the cells, where the file is a text.
    pub separator: Option<char>,
    /// How the file had to be read, where that is worth a word.
    pub notes: Vec<Note>,
    /// Bytes of its longest row, where the file is a text.
    pub longest_row: Option<usize>,
    pub(super) columns: Vec<Cells>,
    pub(super) rows: Vec<Row>,
}

/// How a file had to be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Note {
    /// In an encoding of that name.
    Encoding(&'static str),
    /// A workbook that does not tell which numbers it shows in per cent.
    NoPercentages,
}

impl Grid {
    /// Text of a cell, by its column and its position among the rows that hold anything.
    pub fn cell(&self, column: usize, row: usize) -> Option<&str> {
        self.columns.get(column)?.get(row)
    }

    /// Texts of a row up to the last cell that holds anything.
    pub(super) fn texts(&self, row: usize) -> impl Iterator<Item = Option<&str>> {
        (0..self.rows[row].filled as usize).map(move |column| self.cell(column, row))
    }
}

/// Names of the sheets of a workbook; none of any other file.
///
/// # Errors
/// A file that cannot be read.
pub fn sheets(file: &File) -> Result<Vec<String>, Error> {
    match content(file.name, file.bytes)? {
        Content::Workbook(bytes) => {
            Ok(unless_damaged(file.name, || Workbook::open(file.name, &bytes))?.sheets)
        }
        Content::Text(_) | Content::Parquet(_) => Ok(Vec::new()),
    }
}

/// The grid of a file, or of that sheet of a workbook; what is left of the part, for a table in it.
///
/// # Errors
/// [`ErrorKind::Unreadable`] where the file cannot be read, [`ErrorKind::UnknownName`] where it has no such sheet or several and none
/// is named, [`ErrorKind::BadRow`] where quotes do not fit.
pub fn grid<'p>(file: &File, part: Option<&'p str>) -> Result<(Grid, Option<&'p str>), Error> {
    match content(file.name, file.bytes)? {
        Content::Text(text) => {
            let note = text.encoding.map(Note::Encoding);
            let comma = file.mark == Mark::Comma;
            limits::lines(file.name, &text.text)?;
            let found = records(file.name, &text.text, file.separator, comma)?;
            let widest = found.rows.iter().rev().max_by_key(|row| row.cells);
            let (width, line) = widest.map_or((0, 0), |row| (row.cells, row.line as usize));
            limits::columns(file.name, line, width as usize)?;
            let (separator, rows) = (found.separator, found.rows.len());
            has_room(file.name, width, rows)?;
            let columns = match rows {
                0 => Vec::new(),
                rows => frame::of_text(file.name, &found.text, separator, width as usize, rows)?,
            };
            let grid = Grid {
                separator: Some(separator),
                notes: note.into_iter().collect(),
                longest_row: Some(found.longest),
                columns,
                rows: found.rows,
            };
            Ok((grid, part))
        }
        Content::Parquet(bytes) => {
            let read = || frame::of_parquet(file.name, &bytes, file.mark);
            let columns = unless_damaged(file.name, read)?;
            Ok((full(columns), part))
        }
        Content::Workbook(bytes) => {
            let mut book = unless_damaged(file.name, || Workbook::open(file.name, &bytes))?;
            let (sheet, rest) = sheet_of(file.name, &book.sheets, part)?;
            let read = || of_sheet(&mut book, &sheet, file.mark);
            let mut grid = unless_damaged(file.name, read)?;
            if !book.tells_percentages() {
                grid.notes.push(Note::NoPercentages);
            }
            Ok((grid, rest))
        }
    }
}

/// A grid without a gap.
fn full(columns: Vec<Cells>) -> Grid {
    let width = columns.len() as u32;
    let rows = columns.first().map_or(0, Cells::len);
    let row = |row: usize| Row {
        line: row as u32 + 1,
        cells: width,
        filled: width,
        after_blank: false,
    };
    Grid {
        rows: (0..rows).map(row).collect(),
        columns,
        ..Grid::default()
    }
}

/// The sheet that a part names: by its name, by its number, or the only one.
fn sheet_of<'p>(
    file: &str,
    sheets: &[String],
    part: Option<&'p str>,
) -> Result<(String, Option<&'p str>), Error> {
    let known = |name: &str| {
        let name = name.trim().to_lowercase();
        let mut all = sheets.iter();
        let found = all.find(|sheet| sheet.trim().to_lowercase() == name);
        found.cloned()
    };
    let listed = format!("its sheets: {}", sheets.join(", "));
    let refused = |what, hint| {
        let fault = Error::new(ErrorKind::UnknownName, what);
        Err(fault.in_file(file).hint(hint))
    };
    let Some(part) = part else {
        if let [only] = sheets {
            return Ok((only.clone(), None));
        }
        let what = format!("`{file}` has {} sheets and none is named", sheets.len());
        let first = sheets.first().map_or("Sheet", String::as_str);
        let hint = format!("{listed}; write `\"{file}#{first}\"`");
        return refused(what, hint);
    };
    // A sheet may have the sign in its name.
    if let Some(sheet) = known(part) {
        return Ok((sheet, None));
    }
    if let Some((name, rest)) = part.rsplit_once('#')
        && let Some(sheet) = known(name)
    {
        return Ok((sheet, Some(rest)));
    }
    if let [only] = sheets {
        return Ok((only.clone(), Some(part)));
    }
    refused(format!("`{file}` has no sheet `{part}`"), listed)
}

fn of_sheet(book: &mut Workbook, sheet: &str, mark: Mark) -> Result<Grid, Error> {
    let mut cells = book.cells(sheet, mark)?;
    cells.sort_by_key(|cell| (cell.row, cell.column));
    let width = cells.iter().map(|cell| cell.column + 1).max().unwrap_or(0);
    let mut rows: Vec<Row> = Vec::new();
    for cell in &cells {
        let line = cell.row + 1;
        let last = rows.last().map(|row| row.line);
        if last != Some(line) {
            rows.push(Row {
                line,
                cells: width,
                filled: 0,
                after_blank: line > last.unwrap_or(0) + 1,
            });
        }
        if let Some(row) = rows.last_mut() {
            row.filled = row.filled.max(cell.column + 1);
        }
    }
    has_room(sheet, width, rows.len())?;
    let mut texts: Vec<Vec<Option<String>>> = vec![vec![None; rows.len()]; width as usize];
    let mut row = 0;
    for cell in cells {
        while rows[row].line != cell.row + 1 {
            row += 1;
        }
        texts[cell.column as usize][row] = Some(cell.text);
    }
    Ok(Grid {
        columns: texts.into_iter().map(Cells::new).collect(),
        rows,
        ..Grid::default()
    })
}

/// Most cells that a grid has room for.
const MOST_ROOM: u64 = 100_000_000;

fn has_room(name: &str, width: u32, rows: usize) -> Result<(), Error> {
    if rows as u64 * u64::from(width) <= MOST_ROOM {
        return Ok(());
    }
    let what = format!("`{name}` is {width} columns wide and {rows} rows long");
    let hint = "take away what stands far from the log: a log is far smaller";
    Err(unreadable(name, what, hint))
}
