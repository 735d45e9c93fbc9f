//! Shape of a further row of the runs log.
//!
//! In: the runs log. Out: [`BlankRow`]: its headings, how it is written, and which names are taken.
//! This module never reads a value but the names of the runs.

use super::not_used::LogFile;
use super::rows::RowReader;
use super::table::Table;
use crate::campaign::{Campaign, LogKind};
use crate::error::Faults;

/// The shape of the rows of a log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BlankRow {
    /// What parts the cells.
    pub separator: char,
    /// One a column, in the order of the file.
    pub columns: Vec<BlankColumn>,
    /// Names of the runs in it.
    pub names: Vec<String>,
    /// Rows that it holds.
    pub rows: usize,
}

/// One column of a log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BlankColumn {
    /// The heading as written.
    pub heading: String,
    /// Its name here: that of the design, of a factor or response, or the heading itself.
    pub name: String,
    /// Unit of its numbers, as written.
    pub unit: Option<String>,
}

/// The shape of the first runs log; `None` if the campaign has none.
///
/// # Errors
/// A file that cannot be read as a log.
pub fn blank_row(campaign: &Campaign, files: &[LogFile]) -> Result<Option<BlankRow>, Faults> {
    let Some(file) = files.iter().find(|file| file.kind == LogKind::Runs) else {
        return Ok(None);
    };
    let mut table = Table::open(campaign, file)?;
    // Faults of headings are told where the log is read.
    table.name_columns(campaign);
    let columns = table.heads.iter().map(|head| BlankColumn {
        heading: head.heading.clone(),
        name: head.name.clone(),
        unit: head.unit_text.clone(),
    });
    let run = table.column("run");
    let names = RowReader::all(&table).filter_map(|reader| reader.text(run));
    Ok(Some(BlankRow {
        separator: table.separator().unwrap_or(','),
        columns: columns.collect(),
        names: names.map(str::to_string).collect(),
        rows: table.row_count(),
    }))
}
