//! One log as a table of named columns.
//!
//! In: a log file. Out: [`Table`].
//! This module never reads a value.

use super::LogFile;
use super::cells;
use super::headings::{Head, head, hint_for_missing};
use super::rows::{LeftOut, RowReader};
use super::scan::{Record, cell_count, layout};
use crate::campaign::{Campaign, Decimal, LogKind};
use crate::error::{Error, ErrorKind, Faults};

/// One log: named columns of text.
pub(super) struct Table {
    pub kind: LogKind,
    pub file: String,
    pub heads: Vec<Head>,
    pub columns: Vec<Vec<Option<String>>>,
    pub lines: Vec<usize>,
    pub mappings_used: Vec<usize>,
    pub decimal: Decimal,
    ragged: Vec<Ragged>,
}

/// A record with too many or too few cells.
struct Ragged {
    line: usize,
    cells: usize,
    run: Option<String>,
}

/// The run that a record with too many or too few cells names.
pub(super) struct RaggedRun<'t> {
    pub line: usize,
    pub run: &'t str,
}

/// Columns without which a log says nothing; of a list of names one is enough.
fn required(kind: LogKind) -> &'static [&'static str] {
    match kind {
        LogKind::Runs => &["run"],
        LogKind::Lots => &["lot", "assay"],
        LogKind::Crops => &["run", "mass"],
        LogKind::Titres => &["run", "sample_mass", "titre"],
        LogKind::Titrants => &["titrant"],
        LogKind::Residues => &["run", "mass"],
        LogKind::Readings => &["time", "temperature"],
    }
}

impl Table {
    /// Reads a log file.
    ///
    /// # Errors
    /// Every fault of the file as a whole: unreadable, empty, doubled heading, missing column.
    pub fn read(campaign: &Campaign, file: &LogFile) -> Result<Table, Faults> {
        let name = &file.file;
        let decimal = campaign.logs.decimal;
        let mut layout = layout(file, campaign.logs.separator, decimal)?;
        let width = cell_count(&layout.records[0].text, layout.separator);
        let heading = layout.records.remove(0);
        let headings = cells::columns(name, &layout, &[&heading.text], width)?;
        let mut faults = Vec::new();
        let mut heads: Vec<Head> = Vec::new();
        for (position, cell) in headings.into_iter().enumerate() {
            let text = cell.into_iter().next().flatten();
            let text = text.unwrap_or_else(|| format!("(column {})", position + 1));
            let mut own = Vec::new();
            let head = head(campaign, file.kind, name, &text, &mut own);
            faults.extend(own.into_iter().map(|fault| fault.on_line(heading.line)));
            if let Some(first) = heads.iter().find(|known| known.name == head.name) {
                faults.push(doubled(name, heading.line, &first.heading, &head.heading));
            }
            heads.push(head);
        }
        let mut needed = required(file.kind).to_vec();
        if file.kind == LogKind::Runs && campaign.chemistry.is_some() {
            needed.push("feed_mass");
        }
        let has = |wanted: &str| heads.iter().any(|head| head.name == wanted);
        for column in needed.into_iter().filter(|column| !has(column)) {
            let present: Vec<&str> = heads.iter().map(|head| head.heading.as_str()).collect();
            faults.push(
                Error::new(
                    ErrorKind::MissingColumn,
                    format!("column `{column}` is missing in `{name}`"),
                )
                .at(name, heading.line, column)
                .hint(hint_for_missing(file.kind, column, &present)),
            );
        }
        let mut table = Table {
            kind: file.kind,
            file: name.clone(),
            mappings_used: heads.iter().filter_map(|head| head.mapping).collect(),
            heads,
            columns: Vec::new(),
            lines: Vec::new(),
            decimal,
            ragged: Vec::new(),
        };
        if faults.is_empty() {
            let (kept, ragged) = split_ragged(layout.records, layout.separator, width);
            layout.records = kept;
            let texts: Vec<&str> = layout.records.iter().map(|r| r.text.as_str()).collect();
            table.columns = if texts.is_empty() {
                vec![Vec::new(); width]
            } else {
                cells::columns(name, &layout, &texts, width)?
            };
            table.lines = layout.records.iter().map(|record| record.line).collect();
            let run_column = table.column("run");
            for record in ragged {
                let cells_there = cell_count(&record.text, layout.separator);
                let cells = cells::columns(name, &layout, &[&record.text], cells_there)?;
                table.ragged.push(Ragged {
                    line: record.line,
                    cells: cells_there,
                    run: match run_column {
                        Some(column) => cells.get(column).and_then(|cell| cell.first()?.clone()),
                        None => table.run_of_the_file(),
                    },
                });
            }
            if table
                .columns
                .first()
                .is_some_and(|c| c.len() != table.lines.len())
            {
                faults.push(
                    Error::new(
                        ErrorKind::Unreadable,
                        format!("`{name}` cannot be cut into rows without doubt"),
                    )
                    .in_file(name)
                    .hint("look for quotes inside cells; a quote inside a quoted cell is written twice"),
                );
            }
        }
        Faults::or(faults, table)
    }

    /// Position of the column of that name.
    pub fn column(&self, name: &str) -> Option<usize> {
        self.heads.iter().position(|head| head.name == name)
    }

    /// A reader for each row.
    pub fn rows(&self) -> impl Iterator<Item = RowReader<'_>> {
        (0..self.lines.len()).map(|row| RowReader::of(self, row))
    }

    /// The run that a file of readings without a column `run` is about: its stem.
    pub fn run_of_the_file(&self) -> Option<String> {
        let name = self.file.rsplit(['/', '\\']).next()?;
        let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
        (self.kind == LogKind::Readings).then(|| stem.to_string())
    }

    /// Runs named by records that could not be cut into cells, with their lines.
    pub fn ragged_runs(&self) -> impl Iterator<Item = RaggedRun<'_>> {
        self.ragged.iter().filter_map(|ragged| {
            Some(RaggedRun {
                line: ragged.line,
                run: ragged.run.as_deref()?,
            })
        })
    }

    /// Number of rows, those that could not be cut into cells included.
    pub fn row_count(&self) -> usize {
        self.lines.len() + self.ragged.len()
    }

    /// Lists the records with too many or too few cells; one that names no run stops the work,
    /// because nobody could say which run lacks it.
    pub fn left_out_rows(&self, left_out: &mut Vec<LeftOut>) -> Vec<Error> {
        let mut stops = Vec::new();
        for ragged in &self.ragged {
            let error = Error::new(
                ErrorKind::BadRow,
                format!(
                    "`{}` line {} has {} cells where the heading has {}",
                    self.file,
                    ragged.line,
                    ragged.cells,
                    self.heads.len()
                ),
            )
            .in_file(&self.file)
            .on_line(ragged.line)
            .hint("check the separators on that line; a cell that holds one needs quotes");
            if ragged.run.is_some() {
                left_out.push(LeftOut {
                    file: self.file.clone(),
                    line: ragged.line,
                    run: ragged.run.clone(),
                    error,
                    on_purpose: false,
                });
            } else {
                stops.push(error);
            }
        }
        stops
    }
}

fn doubled(file: &str, line: usize, first: &str, second: &str) -> Error {
    Error::new(
        ErrorKind::MissingColumn,
        format!("two columns in `{file}` have one meaning: `{first}` and `{second}`"),
    )
    .at(file, line, second)
    .hint("rename one of them")
}

fn split_ragged(records: Vec<Record>, separator: char, width: usize) -> (Vec<Record>, Vec<Record>) {
    let mut kept = Vec::new();
    let mut ragged = Vec::new();
    for mut record in records {
        // Spreadsheets end lines with empty cells that have no heading.
        while cell_count(&record.text, separator) > width && record.text.ends_with(separator) {
            record.text.pop();
        }
        if cell_count(&record.text, separator) == width {
            kept.push(record);
        } else {
            ragged.push(record);
        }
    }
    (kept, ragged)
}
