//! One row of a log, read cell by cell.
//!
//! In: a table. Out: [`RowReader`], numbers and dates as logged, and [`LeftOut`], the rows that could not be used.
//! This module never stops the work for a single cell.

use std::cell::RefCell;

use super::bounds::{outside, outside_uncertainty};
use super::columns::Holds;
use super::dates;
use super::headings::Head;
use super::number;
use super::table::Table;
use crate::campaign::LogKind;
use crate::error::{Error, ErrorKind};
use crate::units::Dimension;

/// No interference makes a product look half as pure again as it can be.
const HIGHEST_PURITY: f64 = 1.5;

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

impl LeftOut {
    /// A row of a run that a fault leaves out; the place is that of the fault.
    pub fn of_run(run: &str, error: Error) -> Self {
        Self {
            file: error.file().unwrap_or_default().to_string(),
            line: error.line().unwrap_or_default(),
            run: Some(run.to_string()),
            error,
            on_purpose: false,
        }
    }
}

/// One row, read cell by cell; faults collect until [`RowReader::finish`].
pub(super) struct RowReader<'t> {
    pub table: &'t Table,
    pub row: usize,
    faults: RefCell<Vec<Error>>,
}

impl<'t> RowReader<'t> {
    /// The reader of one row.
    pub fn of(table: &'t Table, row: usize) -> Self {
        RowReader {
            table,
            row,
            faults: RefCell::default(),
        }
    }

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
            .at(&self.table.file, self.line(), heading)
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
        if let Some(hint) = outside(value, dimension) {
            self.fault(
                name,
                ErrorKind::OutOfRange,
                &format!("is out of all range: `{text}`"),
                &hint,
            );
            return None;
        }
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
        let fault = |kind, what: &str, hint: &str| {
            self.fault(&partner, kind, &format!("{what}: `{text}`"), hint);
            None
        };
        match read {
            Ok(figure) if figure < 0.0 => fault(
                ErrorKind::OutOfRange,
                "is negative",
                "an uncertainty is not negative",
            ),
            Ok(figure) => match outside_uncertainty(figure, dimension) {
                None => Some(figure),
                Some(hint) => fault(ErrorKind::OutOfRange, "is out of all range", &hint),
            },
            Err(hint) => fault(ErrorKind::NotANumber, "is not a number", &hint),
        }
    }

    /// A date, ISO 8601; a time behind it is kept in the text.
    pub fn date(&self, name: &str) -> Option<LoggedDate> {
        let text = self.text(name)?;
        match dates::day(&text) {
            Some(day) => Some(LoggedDate { day, text }),
            None => {
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
        self.above_zero(
            name,
            self.number(name)?,
            "check the entry; leave the cell empty when nothing was charged or weighed",
        )
    }

    /// The number where it is above zero, else a fault with that hint.
    pub fn above_zero(&self, name: &str, number: LoggedNumber, hint: &str) -> Option<LoggedNumber> {
        if number.value > 0.0 {
            return Some(number);
        }
        let text = self.text(name).unwrap_or_default();
        self.fault(
            name,
            ErrorKind::NotPositive,
            &format!("is not above zero: `{text}`"),
            hint,
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

    /// A purity: above 1 it may be interference, far above it is a percent typed as a fraction.
    pub fn purity(&self, name: &str) -> Option<LoggedNumber> {
        let number = self.not_negative(name)?;
        if number.value <= HIGHEST_PURITY {
            return Some(number);
        }
        let text = self.text(name).unwrap_or_default();
        self.fault(
            name,
            ErrorKind::OutOfRange,
            &format!("is no purity: `{text}`"),
            "a purity is a mass fraction; percent are written `99 %`, or with the unit in the heading: `purity / %`",
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
            let hint = match self.table.kind {
                LogKind::Lots | LogKind::Titrants => "write the value, or take the row out",
                _ => "write the value, or give the run a reason under `set_aside`",
            };
            self.fault(name, ErrorKind::Missing, "is empty", hint);
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
