//! One log as a table, and one row of it read cell by cell.
//!
//! In: a log file. Out: [`Table`], [`RowReader`] and [`LeftOut`], the rows that could not be used.
//! This module never stops the work for a single cell.

use std::cell::RefCell;
use std::collections::BTreeSet;

use super::cells;
use super::columns::Holds;
use super::headings::{Head, head, hint_for_missing};
use super::number;
use super::scan::{Record, cell_count, layout};
use super::{LogFile, Logged};
use crate::campaign::{Campaign, Decimal, LogKind};
use crate::error::{Error, ErrorKind, Faults};
use crate::units::Dimension;

/// A number as logged, in base units, with the standard uncertainty that the log states.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoggedNumber {
    /// The reading.
    pub value: f64,
    /// Standard uncertainty from a `u_` column.
    pub uncertainty: Option<f64>,
}

/// A date as logged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LoggedDate {
    /// As written; sorts as text.
    pub text: String,
    /// Days since the first day of the year 1.
    pub day: i32,
}

/// A row that could not be used, or a run set aside on purpose.
#[derive(Debug, Clone)]
pub struct LeftOut {
    /// The log.
    pub file: String,
    /// Line of the log.
    pub line: usize,
    /// The run concerned, where the row names one.
    pub run: Option<String>,
    /// What is wrong and what to do.
    pub error: Error,
    /// Whether it was a decision of the chemist, not a fault.
    pub on_purpose: bool,
}

/// One log: named columns of text.
pub(super) struct Table {
    pub file: String,
    pub heads: Vec<Head>,
    pub columns: Vec<Vec<Option<String>>>,
    pub lines: Vec<usize>,
    pub mappings_used: Vec<usize>,
    decimal: Decimal,
    ragged: Vec<Ragged>,
}

/// A record with too many or too few cells.
struct Ragged {
    line: usize,
    cells: usize,
    run: Option<String>,
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
        let mut layout = layout(name, &file.bytes, campaign.logs.separator, decimal)?;
        let width = cell_count(&layout.records[0].text, layout.separator);
        let heading = layout.records.remove(0);
        let headings = cells::columns(name, &layout, &[&heading.text], width)?;
        let mut faults = Vec::new();
        let mut heads: Vec<Head> = Vec::new();
        for (position, cell) in headings.into_iter().enumerate() {
            let text = cell.into_iter().next().flatten();
            let text = text.unwrap_or_else(|| format!("(column {})", position + 1));
            match head(campaign, file.kind, name, &text) {
                Ok(head) => {
                    if let Some(first) = heads.iter().find(|known| known.name == head.name) {
                        faults.push(doubled(name, heading.line, &first.heading, &head.heading));
                    }
                    heads.push(head);
                }
                Err(error) => faults.push(error),
            }
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
                .in_file(name)
                .on_line(heading.line)
                .in_column(column)
                .hint(hint_for_missing(file.kind, column, &present)),
            );
        }
        let mut table = Table {
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
            table.columns = cells::columns(name, &layout, &texts, width)?;
            table.lines = layout.records.iter().map(|record| record.line).collect();
            let run_column = table.column("run");
            for record in ragged {
                let cells_there = cell_count(&record.text, layout.separator);
                let cells = cells::columns(name, &layout, &[&record.text], cells_there)?;
                table.ragged.push(Ragged {
                    line: record.line,
                    cells: cells_there,
                    run: run_column
                        .and_then(|column| cells.get(column)?.first().cloned().flatten()),
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
        (0..self.lines.len()).map(|row| RowReader {
            table: self,
            row,
            faults: RefCell::default(),
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
    .in_file(file)
    .on_line(line)
    .in_column(second)
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

/// One row, read cell by cell; faults collect until [`RowReader::finish`].
pub(super) struct RowReader<'t> {
    pub table: &'t Table,
    pub row: usize,
    faults: RefCell<Vec<Error>>,
}

impl RowReader<'_> {
    /// Line of the log.
    pub fn line(&self) -> usize {
        self.table.lines[self.row]
    }

    /// Text of a cell; `None` when the column or the cell is empty.
    pub fn text(&self, name: &str) -> Option<String> {
        self.table.columns[self.table.column(name)?][self.row].clone()
    }

    /// Texts of a cell that holds several, `;` between them.
    pub fn list(&self, name: &str) -> Vec<String> {
        self.text(name)
            .unwrap_or_default()
            .split(';')
            .map(str::trim)
            .filter(|item| !item.is_empty())
            .map(str::to_string)
            .collect()
    }

    /// Notes a fault of a cell: `what` continues "column `x` in `file` line n ...".
    pub fn fault(&self, name: &str, kind: ErrorKind, what: &str, hint: &str) {
        let heading = self
            .table
            .column(name)
            .map_or(name, |column| &self.table.heads[column].heading);
        self.faults.borrow_mut().push(
            Error::new(
                kind,
                format!(
                    "column `{heading}` in `{}` line {} {what}",
                    self.table.file,
                    self.line()
                ),
            )
            .in_file(&self.table.file)
            .on_line(self.line())
            .in_column(heading)
            .hint(hint),
        );
    }

    /// A number with its `u_` partner, in base units.
    pub fn number(&self, name: &str) -> Option<LoggedNumber> {
        let column = self.table.column(name)?;
        let head = &self.table.heads[column];
        let text = self.table.columns[column][self.row].as_deref()?;
        let dimension = match head.holds {
            Some(Holds::Number(dimension)) => dimension,
            _ => Dimension::Plain,
        };
        let value = match number::of_dimension(text, self.table.decimal, dimension, head.unit) {
            Ok(value) => value,
            Err(hint) => {
                self.fault(
                    name,
                    ErrorKind::NotANumber,
                    &format!("is not a number: `{text}`"),
                    &hint,
                );
                return None;
            }
        };
        Some(LoggedNumber {
            value,
            uncertainty: self.uncertainty(name, dimension, head),
        })
    }

    /// The `u_` partner of a column; without a unit of its own it takes that of the column.
    fn uncertainty(&self, name: &str, dimension: Dimension, head: &Head) -> Option<f64> {
        let partner = format!("u_{name}");
        let column = self.table.column(&partner)?;
        let own = &self.table.heads[column];
        let text = self.table.columns[column][self.row].as_deref()?;
        let read = number::of_dimension(text, self.table.decimal, dimension, None).map(|figure| {
            let in_percent = dimension == Dimension::Fraction && text.trim().ends_with('%');
            match own.unit.or(head.unit).filter(|_| !in_percent) {
                Some(unit) => unit.difference_to_base(figure),
                None => figure,
            }
        });
        match read {
            Ok(figure) if figure >= 0.0 => Some(figure),
            Ok(_) => {
                self.fault(
                    &partner,
                    ErrorKind::OutOfRange,
                    &format!("is negative: `{text}`"),
                    "an uncertainty is not negative",
                );
                None
            }
            Err(hint) => {
                self.fault(
                    &partner,
                    ErrorKind::NotANumber,
                    &format!("is not a number: `{text}`"),
                    &hint,
                );
                None
            }
        }
    }

    /// A date, ISO 8601; a time behind it is kept in the text.
    pub fn date(&self, name: &str) -> Option<LoggedDate> {
        let text = self.text(name)?;
        let day = text.get(..10).unwrap_or(&text);
        match chrono::NaiveDate::parse_from_str(day, "%Y-%m-%d") {
            Ok(date) => Some(LoggedDate {
                day: chrono::Datelike::num_days_from_ce(&date),
                text,
            }),
            Err(_) => {
                self.fault(
                    name,
                    ErrorKind::OutOfRange,
                    &format!("is not a date: `{text}`"),
                    "write year-month-day, such as `2025-10-03`",
                );
                None
            }
        }
    }

    /// A number above zero.
    pub fn positive(&self, name: &str) -> Option<LoggedNumber> {
        let number = self.number(name)?;
        if number.value > 0.0 {
            return Some(number);
        }
        let text = self.text(name).unwrap_or_default();
        self.fault(
            name,
            ErrorKind::NotPositive,
            &format!("is not above zero: `{text}`"),
            "check the entry; leave the cell empty when nothing was charged or weighed",
        );
        None
    }

    /// A number that is zero or above.
    pub fn not_negative(&self, name: &str) -> Option<LoggedNumber> {
        let number = self.number(name)?;
        if number.value >= 0.0 {
            return Some(number);
        }
        let text = self.text(name).unwrap_or_default();
        self.fault(
            name,
            ErrorKind::NotPositive,
            &format!("is negative: `{text}`"),
            "check the sign of the entry",
        );
        None
    }

    /// A mass fraction from 0 to 1.
    pub fn fraction(&self, name: &str) -> Option<LoggedNumber> {
        let number = self.not_negative(name)?;
        if number.value <= 1.0 {
            return Some(number);
        }
        let text = self.text(name).unwrap_or_default();
        self.fault(
            name,
            ErrorKind::OutOfRange,
            &format!("is above 1: `{text}`"),
            "a mass fraction goes from 0 to 1; percent are written `82 %`, or with the unit in the heading: `assay / %`",
        );
        None
    }

    /// A mass fraction from 0 to 1 in a column with a name of the user's own.
    pub fn own_fraction(&self, name: &str) -> Option<LoggedNumber> {
        let column = self.table.column(name)?;
        let text = self.table.columns[column][self.row].as_deref()?;
        let unit = self.table.heads[column]
            .unit
            .filter(|unit| unit.dimension == Dimension::Fraction);
        let read = number::of_dimension(text, self.table.decimal, Dimension::Fraction, unit);
        match read {
            Ok(value) if (0.0..=1.0).contains(&value) => Some(LoggedNumber {
                value,
                uncertainty: None,
            }),
            Ok(_) => {
                self.fault(
                    name,
                    ErrorKind::OutOfRange,
                    &format!("is no mass fraction: `{text}`"),
                    "a mass fraction goes from 0 to 1",
                );
                None
            }
            Err(hint) => {
                self.fault(
                    name,
                    ErrorKind::NotANumber,
                    &format!("is not a number: `{text}`"),
                    &hint,
                );
                None
            }
        }
    }

    /// The value, or a fault when the cell is empty.
    pub fn needed<T>(&self, name: &str, value: Option<T>) -> Option<T> {
        if value.is_none() && self.text(name).is_none() {
            self.fault(
                name,
                ErrorKind::Missing,
                "is empty",
                "write the value, or give the run a reason under `set_aside`",
            );
        }
        value
    }

    /// Hands over the row, or lists it as left out with its first fault; further faults follow it.
    pub fn finish<T>(
        self,
        run: Option<&str>,
        left_out: &mut Vec<LeftOut>,
        row: Option<T>,
    ) -> Option<T> {
        let line = self.line();
        let faults = self.faults.into_inner();
        let sound = faults.is_empty();
        left_out.extend(faults.into_iter().map(|error| LeftOut {
            file: self.table.file.clone(),
            line,
            run: run.map(str::to_string),
            error,
            on_purpose: false,
        }));
        row.filter(|_| sound)
    }
}

/// Lists crops, titres and residues of runs that the runs log does not have.
pub(super) fn leave_out_unknown_runs(logged: &mut Logged) {
    let known: BTreeSet<&str> = logged.runs.names.iter().map(String::as_str).collect();
    let mut unknown = Vec::new();
    let mut check = |file: &str, line: usize, run: &str, what: &str| {
        if !known.contains(run) {
            unknown.push(LeftOut {
                file: file.to_string(),
                line,
                run: Some(run.to_string()),
                error: Error::new(
                    ErrorKind::UnknownName,
                    format!("{what} of an unknown run in `{file}` line {line}: `{run}`"),
                )
                .in_file(file)
                .on_line(line)
                .in_column("run")
                .hint("add the run to the runs log, or correct its name"),
                on_purpose: false,
            });
        }
    };
    for crop in &logged.crops {
        check(&crop.file, crop.line, &crop.run, "a crop");
    }
    for titre in &logged.titres {
        check(&titre.file, titre.line, &titre.run, "a titre");
    }
    for residue in &logged.residues {
        check(&residue.file, residue.line, &residue.run, "a residue");
    }
    for curve in &logged.heating {
        check(&curve.file, curve.line, &curve.run, "a reading");
    }
    logged.left_out.extend(unknown);
}
