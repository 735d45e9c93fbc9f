//! What would a further row of the runs log look like?
//!
//! In: the runs log. Out: [`BlankRow`]: its headings, how it is written, and which names are taken.
//! This module never reads a value but the names of the runs.

use super::LogFile;
use super::headings::head;
use super::scan::{cell_count, heading_layout};
use super::{cells, rows::RowReader, table::Table};
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
    let layout = heading_layout(file, campaign.logs.separator, campaign.logs.decimal)?;
    let width = cell_count(&layout.records[0].text, layout.separator);
    let headings = cells::columns(&file.file, &layout, &[&layout.records[0].text], width)?;
    let columns: Vec<BlankColumn> = headings
        .into_iter()
        .map(|cell| {
            let text = cell.into_iter().next().flatten().unwrap_or_default();
            // Faults of headings are told where the log is read.
            let head = head(campaign, LogKind::Runs, &file.file, &text, &mut Vec::new());
            BlankColumn {
                heading: head.heading,
                name: head.name,
                unit: head.unit_text,
            }
        })
        .collect();
    let rows = layout.records.len() - 1;
    let names = if rows == 0 {
        Vec::new()
    } else {
        let table = Table::read(campaign, file)?;
        table
            .rows()
            .filter_map(|reader: RowReader| reader.text("run"))
            .collect()
    };
    Ok(Some(BlankRow {
        separator: layout.separator,
        columns,
        names,
        rows,
    }))
}
