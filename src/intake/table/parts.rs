//! What a file holds besides one table, and what that table lacks or cannot have.
//!
//! In: a table that is open. Out: lines that are no rows, cells that are too long, missing columns, headings that are used although spelt otherwise.
//! This module never reads a cell's value.

use std::iter;

use super::Table;
use crate::campaign::{ColumnMapping, LogKind};
use crate::error::{Cause, Error, ErrorKind, Place};
use crate::intake::columns::needed;
use crate::intake::headings::hint_for_missing;
use crate::intake::not_used::{PassedIn, UsedAs};
use crate::sheets::{Cells, LONGEST_CELL, Passed, PassedOver, long_cells, pass};

impl Table {
    /// A fault for each cell that is too long.
    pub(super) fn long_cells(&self) -> Vec<Error> {
        let width = self.grid.headings(&self.sheet).len();
        let columns = || (0..width).filter_map(|column| self.grid.column(column));
        let is_short = |bytes: usize| bytes <= LONGEST_CELL;
        if self.grid.longest_row.is_some_and(is_short)
            || columns().all(|cells| is_short(cells.longest()))
        {
            return Vec::new();
        }
        let below = || self.sheet.rows.iter().map(|row| *row as usize);
        let rows = || iter::once(self.sheet.heading).chain(below());
        let text = |cells: &Cells, row| cells.get(row).map(str::to_string);
        let texts = columns().map(|cells| rows().map(|row| text(cells, row)).collect());
        let texts: Vec<Vec<Option<String>>> = texts.collect();
        let lines: Vec<usize> = rows().map(|row| self.grid.line(row)).collect();
        long_cells(&self.file, &texts, |row| lines[row])
    }

    pub(super) fn without_rows(&self) -> Error {
        let hint = match self.kind {
            LogKind::Runs => "write a row for each run that was made",
            _ => "write the first row, or take the log out of `[logs]`",
        };
        let message = format!("`{}` has headings but no row", self.file);
        self.heading_place().fault(ErrorKind::Empty, message, hint)
    }

    /// The fault of a column that something else asks for, or that it cannot have.
    pub fn lacks_column(&self, column: &str, message: String, hint: &str) -> Error {
        let place = Place::new(&self.file, 1);
        let fault = place.fault(ErrorKind::MissingColumn, message, hint);
        fault.in_column(column)
    }

    /// What stands in the file and is no row of it.
    pub fn passed(&self) -> &[PassedOver] {
        &self.sheet.passed
    }

    /// Line of the next table behind this one.
    pub fn table_behind(&self) -> Option<usize> {
        let own = self.heading_place().line;
        let lines = self.tables.iter().map(|table| table.line);
        lines.filter(|line| *line > own).min()
    }

    /// What the file holds besides the rows; other tables of it are told where no log of `all` is one of them.
    pub fn passed_in(&self, all: &[Table]) -> PassedIn {
        let mut passed = self.sheet.passed.clone();
        passed.extend(self.without_heading());
        let is_log = |line: usize| {
            let mut same = all.iter().filter(|of| of.sheet_name == self.sheet_name);
            same.any(|of| of.heading_place().line == line)
        };
        for (position, table) in self.tables.iter().enumerate() {
            if !is_log(table.line) {
                let (number, title) = (position + 1, table.title.clone());
                let what = Passed::OtherTable { number, title };
                pass(&mut passed, what, table.line);
            }
        }
        PassedIn {
            file: self.file.to_string(),
            notes: self.grid.notes.clone(),
            passed,
        }
    }

    /// Cells to the right of the last heading.
    fn without_heading(&self) -> Vec<PassedOver> {
        let width = self.heads.len();
        let mut passed: Vec<PassedOver> = Vec::new();
        for row in self.sound_rows() {
            let position = self.sheet.rows[row] as usize;
            for column in width..self.grid.filled(position) {
                if self.grid.cell(column, position).is_none() {
                    continue;
                }
                let what = Passed::NoHeading { column: column + 1 };
                pass(&mut passed, what, self.grid.line(position));
            }
        }
        passed
    }

    /// The faults of columns that the log cannot do without, but for those that are missed under a heading of the user's own.
    pub fn missing(&self, sought: &[&ColumnMapping]) -> Vec<Error> {
        let lacks = self.lacks.iter();
        let lacks = lacks.filter(|column| sought.iter().all(|own| own.name != **column));
        let missing = lacks.map(|column| {
            let present: Vec<&str> = self.heads.iter().map(|head| &head.heading[..]).collect();
            let message = format!("column `{column}` is missing in `{}`", self.file);
            let hint = hint_for_missing(self.kind, column, &present);
            let place = self.heading_place();
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
            file: self.file.to_string(),
            heading: head.heading.clone(),
            name: head.name.clone(),
        })
    }

    /// Whether it has the columns without which no row of it can be used.
    pub fn has_usable_rows(&self) -> bool {
        let is_needed = |column: &&str| needed(self.kind).any(|needed| needed == *column);
        !self.lacks.iter().any(is_needed)
    }
}
