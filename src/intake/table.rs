//! One log as a table of named columns.
//!
//! In: a log file. Out: [`Table`].
//! This module never reads a value.

use super::headings::{Head, head, hint_for_missing};
use super::logged::{LeftOut, LogFile, UsedAs};
use super::scan::{Record, cell_count, layout};
use super::split_cells::{self, Column};
use crate::campaign::{Campaign, ColumnMapping, Decimal, LogKind};
use crate::error::{Cause, Error, ErrorKind, Faults, Place};

/// One log: named columns of text.
pub(super) struct Table {
    pub kind: LogKind,
    pub file: String,
    pub heads: Vec<Head>,
    /// The line of the headings.
    pub heading_line: usize,
    pub decimal: Decimal,
    /// Faults of headings; the rows can be read all the same.
    pub faults: Vec<Error>,
    /// Columns that the log cannot do without and does not have.
    pub lacks: Vec<&'static str>,
    columns: Vec<Column>,
    /// One a record below the heading.
    records: Vec<Cut>,
}

/// How a record was cut.
struct Cut {
    line: usize,
    cells: usize,
}

/// Columns without which a log says nothing.
fn required(kind: LogKind) -> &'static [&'static str] {
    match kind {
        LogKind::Runs => &["run"],
        LogKind::Lots => &["lot", "assay"],
        LogKind::Titres => &["run", "sample_mass", "titre"],
        LogKind::Titrants => &["titrant"],
        LogKind::Crops | LogKind::Residues => &["run", "mass"],
        LogKind::Readings => &["time", "temperature"],
    }
}

impl Table {
    /// Reads a log file.
    ///
    /// # Errors
    /// Every fault of the file as a whole: unreadable, empty.
    pub fn read(campaign: &Campaign, file: &LogFile) -> Result<Table, Faults> {
        let name = &file.file;
        let layout = layout(file, &campaign.logs)?.with_rows(file)?;
        let mut columns = split_cells::columns(name, &layout)?;
        let width = columns.len();
        let (heading, records) = layout.records.split_at(1);
        let place = Place::new(name, heading[0].line);
        let texts: Vec<Option<String>> = columns.iter_mut().map(|cells| cells.remove(0)).collect();
        let mut faults = Vec::new();
        let mut heads: Vec<Head> = Vec::new();
        for (position, text) in texts.into_iter().enumerate() {
            let text = text.unwrap_or_else(|| format!("(column {})", position + 1));
            let (head, fault) = head(campaign, file.kind, name, &text);
            faults.extend(fault.map(|fault| fault.at(&place)));
            if let Some(first) = heads.iter().find(|known| known.name == head.name) {
                let message = format!(
                    "two columns in `{name}` have one meaning: `{}` and `{}`",
                    first.heading, head.heading
                );
                let fault = place.fault(ErrorKind::Heading, message, "rename one of them");
                faults.push(fault.in_column(&head.heading));
            }
            heads.push(head);
        }
        let mut lacks = required(file.kind).to_vec();
        if file.kind == LogKind::Runs && campaign.chemistry.is_some() {
            lacks.push("feed_mass");
        }
        lacks.retain(|wanted| heads.iter().all(|head| head.name != *wanted));
        let cut = |record: &Record| Cut {
            line: record.line,
            cells: cells_of(&record.text, layout.separator, width),
        };
        Ok(Table {
            kind: file.kind,
            file: name.clone(),
            heads,
            heading_line: place.line,
            decimal: campaign.logs.decimal,
            faults,
            lacks,
            records: records.iter().map(cut).collect(),
            columns,
        })
    }

    /// The faults of columns that the log cannot do without, but for those that are missed under a heading of the user's own.
    pub fn missing(&self, sought: &[&ColumnMapping]) -> Vec<Error> {
        let lacks = self.lacks.iter();
        let lacks = lacks.filter(|column| sought.iter().all(|own| own.name != **column));
        let missing = lacks.map(|column| {
            let present: Vec<&str> = self.heads.iter().map(|head| &head.heading[..]).collect();
            let message = format!("column `{column}` is missing in `{}`", self.file);
            let hint = hint_for_missing(self.kind, column, &present);
            let place = Place::new(&self.file, self.heading_line);
            let fault = place.fault(ErrorKind::MissingColumn, message, hint);
            let cause = Cause::Things(format!("column `{column}` that is missing"));
            fault.in_column(*column).alike(cause, None)
        });
        missing.collect()
    }

    /// Headings that are used for a column although they are spelt in another way.
    pub fn used_as(&self) -> impl Iterator<Item = UsedAs> {
        let nearly = self.heads.iter().filter(|head| head.nearly);
        nearly.map(|head| UsedAs {
            file: self.file.clone(),
            heading: head.heading.clone(),
            name: head.name.clone(),
        })
    }

    /// Whether it has the columns without which no row of it can be used.
    pub fn has_usable_rows(&self) -> bool {
        let required = required(self.kind);
        self.lacks.iter().all(|column| !required.contains(column))
    }

    /// Position of the column of that name.
    pub fn column(&self, name: &str) -> Option<usize> {
        self.heads.iter().position(|head| head.name == name)
    }

    /// Text of a cell.
    pub fn cell(&self, column: usize, row: usize) -> Option<&str> {
        self.columns[column][row].as_deref()
    }

    /// Where a row stands.
    pub fn place(&self, row: usize) -> Place {
        Place::new(&self.file, self.records[row].line)
    }

    /// The run that a row is about: its cell, or the stem of a file of readings without a column `run`.
    pub fn run(&self, row: usize) -> Option<&str> {
        if let Some(column) = self.column("run") {
            return self.cell(column, row);
        }
        let name = self.file.rsplit(['/', '\\']).next()?;
        let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
        (self.kind == LogKind::Readings).then_some(stem)
    }

    /// Number of rows, those that could not be cut into cells included.
    pub fn row_count(&self) -> usize {
        self.records.len()
    }

    /// Rows with a cell for each heading.
    pub fn sound_rows(&self) -> impl Iterator<Item = usize> {
        (0..self.records.len()).filter(|row| self.is_sound(*row))
    }

    /// Rows with too many or too few cells.
    pub fn ragged_rows(&self) -> impl Iterator<Item = usize> {
        (0..self.records.len()).filter(|row| !self.is_sound(*row))
    }

    fn is_sound(&self, row: usize) -> bool {
        self.records[row].cells == self.heads.len()
    }

    /// Lists the rows with too many or too few cells; one that names no run stops the work,
    /// because nobody could say which run lacks it.
    pub fn leave_out_ragged_rows(&self, left_out: &mut Vec<LeftOut>, stops: &mut Vec<Error>) {
        for row in self.ragged_rows() {
            let place = self.place(row);
            let message = format!(
                "{place} has {} cells where the heading has {}",
                self.records[row].cells,
                self.heads.len()
            );
            let hint = "check the separators on that line; a cell that holds one needs quotes";
            let cause = format!(
                "row with {} cells where the heading has {}",
                self.records[row].cells,
                self.heads.len()
            );
            let fault = place.fault(ErrorKind::BadRow, message, hint);
            let fault = fault.alike(Cause::Things(cause), None);
            match self.run(row) {
                Some(run) => left_out.push(LeftOut::new(Some(run), fault)),
                None => stops.push(fault),
            }
        }
    }
}

/// Cells of a record; spreadsheets end lines with empty cells that have no heading, and these do not count.
fn cells_of(text: &str, separator: char, width: usize) -> usize {
    let cells = cell_count(text, separator);
    let empty = text.len() - text.trim_end_matches(separator).len();
    cells - empty.min(cells.saturating_sub(width))
}
