//! Reader of one row of a log, cell by cell.
//!
//! In: a table. Out: [`RowReader`], which gives numbers, dates and texts, and keeps the faults of its row.
//! This module never stops the work for a single cell.

use std::cell::RefCell;

use super::cell_words::{invisible, is_missing};
use super::dates;
use super::headings::Head;
use super::logged::{LoggedDate, LoggedNumber};
use super::not_used::LeftOut;
use super::number::{NOT_KNOWN, of_dimension, or_else, outside, outside_uncertainty};
use super::plus_minus::{around_plus_minus, with_plus_minus};
use super::table::Table;
use crate::campaign::LogKind;
use crate::error::{Cause, Error, ErrorKind, Place};
use crate::name::Name;
use crate::units::Dimension;

/// No interference makes a product look half as pure again as it can be.
const HIGHEST_PURITY: f64 = 1.5;

/// What to do about a word for nothing where a name should stand.
const NAME_OR_EMPTY: &str = "leave the cell empty, or write the name";

/// One row, read cell by cell; faults collect until [`RowReader::finish`].
pub(super) struct RowReader<'t> {
    pub table: &'t Table,
    pub row: usize,
    faults: RefCell<Vec<Error>>,
}

impl<'t> RowReader<'t> {
    /// A reader for each row that has a cell for each heading.
    pub fn all(table: &'t Table) -> impl Iterator<Item = RowReader<'t>> {
        table.sound_rows().map(move |row| RowReader {
            table,
            row,
            faults: RefCell::default(),
        })
    }

    /// Where the row stands.
    pub fn place(&self) -> Place {
        self.table.place(self.row)
    }

    /// A cell that holds anything, with its column.
    pub fn cell(&self, name: &str) -> Option<(&'t Head, &'t str)> {
        let column = self.table.column(name)?;
        Some((
            &self.table.heads[column],
            self.table.cell(column, self.row)?,
        ))
    }

    /// Text of a cell; `None` when the column or the cell is empty.
    pub fn text(&self, name: &str) -> Option<&'t str> {
        self.table.cell(self.table.column(name)?, self.row)
    }

    /// Texts of a cell that holds several, `;` between them.
    pub fn list(&self, name: &str) -> Vec<&'t str> {
        let items = self.text(name).into_iter();
        let items = items.flat_map(|text| text.split(';')).map(str::trim);
        items.filter(|item| !item.is_empty()).collect()
    }

    /// Notes a fault of a cell: `what` continues "column `x` in `file` line n ...".
    pub fn fault(&self, name: &str, kind: ErrorKind, what: &str, hint: &str) {
        self.note(name, kind, what, None, hint);
    }

    /// As [`RowReader::fault`], where `many` says of all cells alike what `what` says of one.
    pub fn fault_alike(&self, name: &str, kind: ErrorKind, what: &str, many: &str, hint: &str) {
        self.fault(name, kind, what, hint);
        let mut faults = self.faults.borrow_mut();
        let last = faults.pop();
        faults.extend(last.map(|fault| fault.alike(Cause::Cells(many.into()), None)));
    }

    fn note(&self, name: &str, kind: ErrorKind, what: &str, value: Option<&str>, hint: &str) {
        let column = self.table.column(name);
        let heading = column.map_or(name, |column| &self.table.heads[column].heading);
        let fault = self.place().cell(kind, heading, what, value, hint);
        self.faults.borrow_mut().push(fault);
    }

    /// Notes a fault of a cell that ends with its text; there is no value then.
    pub fn refuse<T>(&self, name: &str, kind: ErrorKind, what: &str, hint: &str) -> Option<T> {
        let text = self.text(name).unwrap_or_default();
        self.note(name, kind, what, Some(text), hint);
        None
    }

    /// Notes that a cell holds no number.
    fn no_number<T>(&self, name: &str, hint: &str) -> Option<T> {
        let hint = or_else(hint, self.not_known());
        self.refuse(name, ErrorKind::NotANumber, "is not a number", &hint)
    }

    /// What is left where nobody knows what should stand in a cell.
    fn not_known(&self) -> &'static str {
        match self.table.kind {
            LogKind::Lots | LogKind::Titrants => "take the row out",
            _ => NOT_KNOWN,
        }
    }

    /// A name; a word for nothing and a character that nobody sees are faults.
    pub fn name(&self, name: &str) -> Option<Name> {
        let column = self.table.column(name)?;
        let text = self.table.cell(column, self.row)?;
        let is_name = || self.is_name(name, text, NAME_OR_EMPTY);
        self.table.shared_name(column, text, is_name)
    }

    /// Names, `;` between them.
    pub fn names(&self, name: &str) -> Vec<&'t str> {
        let mut names = self.list(name);
        names.retain(|text| self.is_name(name, text, NAME_OR_EMPTY));
        names
    }

    /// Whether a text can be a name, with the hint for a word for nothing.
    pub fn is_name(&self, name: &str, text: &str, hint: &str) -> bool {
        if let Some(sign) = invisible(text) {
            let what = format!(
                "holds a character that nobody sees, U+{:04X}",
                u32::from(sign)
            );
            let hint = "type the name anew, letter by letter";
            self.refuse::<()>(name, ErrorKind::UnknownName, &what, hint);
            return false;
        }
        if is_missing(text) {
            let what = "holds a word for a missing value";
            self.refuse::<()>(name, ErrorKind::Missing, what, hint);
            return false;
        }
        true
    }

    /// Whether no fault was noted so far, and the log has the columns that a row needs.
    pub fn is_sound(&self) -> bool {
        self.faults.borrow().is_empty() && self.table.has_usable_rows()
    }

    /// A number with the uncertainty of its `u_` partner or behind its ±, in base units.
    pub fn number(&self, name: &str) -> Option<LoggedNumber> {
        let column = self.table.column(name)?;
        let head = &self.table.heads[column];
        let dimension = head.dimension();
        let marks = self.table.written.marks;
        let plain = |value: f64| LoggedNumber {
            value,
            uncertainty: None,
        };
        let read = match self.table.number(column, self.row) {
            Some(number) => Ok(plain(head.unit.map_or(number, |unit| unit.to_base(number)))),
            None => {
                let text = self.table.cell(column, self.row);
                // A word for nothing is an empty cell; where a number is needed, it is told.
                let Some(text) = text.filter(|text| !is_missing(text)) else {
                    return head.empty.map(plain);
                };
                match around_plus_minus(text) {
                    Some(parts) => with_plus_minus(name, parts, marks, dimension, head.unit),
                    None => of_dimension(text, marks, dimension, head.unit).map(plain),
                }
            }
        };
        let number = match read.map(|number| (number, outside(number.value, dimension))) {
            Ok((number, None)) => number,
            Ok((_, Some(hint))) => {
                return self.refuse(name, ErrorKind::OutOfRange, "is out of all range", &hint);
            }
            Err(hint) => return self.no_number(name, &hint),
        };
        let partner = self.uncertainty(column, dimension);
        if partner.is_some() && number.uncertainty.is_some() {
            let hint = format!("leave out the ± or the cell under `u_{name}`");
            return self.refuse(name, ErrorKind::NotANumber, "has two uncertainties", &hint);
        }
        Some(LoggedNumber {
            uncertainty: number.uncertainty.or(partner),
            ..number
        })
    }

    /// The `u_` partner of a column; without a unit of its own it takes that of the column.
    fn uncertainty(&self, column: usize, dimension: Dimension) -> Option<f64> {
        let partner = self.table.partner(column)?;
        let text = self.table.cell(partner, self.row)?;
        let [head, own] = [column, partner].map(|column| &self.table.heads[column]);
        let partner = &own.name;
        let refuse = |kind, what: &str, hint: &str| self.refuse(partner, kind, what, hint);
        let read = of_dimension(text, self.table.written.marks, dimension, None).map(|figure| {
            let in_percent = dimension == Dimension::Fraction && text.ends_with('%');
            match own.unit.or(head.unit).filter(|_| !in_percent) {
                Some(unit) => unit.difference_to_base(figure),
                None => figure,
            }
        });
        match read.map(|figure| (figure, outside_uncertainty(figure, dimension))) {
            Ok((figure, _)) if figure < 0.0 => {
                let hint = "an uncertainty is not negative";
                refuse(ErrorKind::OutOfRange, "is negative", hint)
            }
            Ok((figure, None)) => Some(figure),
            Ok((_, Some(hint))) => refuse(ErrorKind::OutOfRange, "is out of all range", &hint),
            Err(hint) => self.no_number(partner, &hint),
        }
    }

    /// A date in ISO form, with the time behind it.
    pub fn date(&self, name: &str) -> Option<LoggedDate> {
        let column = self.table.column(name)?;
        let text = self.table.cell(column, self.row)?;
        let read = || dates::date(text, self.table.written.orders[column]);
        match self.table.shared_date(text, read) {
            Ok(date) => Some(date),
            Err(no_date) => self.refuse(name, ErrorKind::OutOfRange, no_date.what, &no_date.hint),
        }
    }

    /// A number above zero.
    pub fn positive(&self, name: &str) -> Option<LoggedNumber> {
        let number = self.number(name)?;
        if number.value > 0.0 {
            return Some(number);
        }
        let hint = format!("check the entry, or {}", self.not_known());
        self.above_zero(name, Some(number), &hint)
    }

    /// The number where it is above zero, else a fault with that hint.
    pub fn above_zero(
        &self,
        name: &str,
        number: Option<LoggedNumber>,
        hint: &str,
    ) -> Option<LoggedNumber> {
        if number?.value > 0.0 {
            return number;
        }
        self.refuse(name, ErrorKind::NotPositive, "is not above zero", hint)
    }

    /// A number that is zero or above.
    pub fn not_negative(&self, name: &str) -> Option<LoggedNumber> {
        let number = self.number(name)?;
        if number.value >= 0.0 {
            return Some(number);
        }
        let hint = "check the sign of the entry";
        self.refuse(name, ErrorKind::NotPositive, "is negative", hint)
    }

    /// A mass fraction from 0 to 1.
    pub fn fraction(&self, name: &str) -> Option<LoggedNumber> {
        let number = self.not_negative(name)?;
        if number.value <= 1.0 {
            return Some(number);
        }
        let hint = "a mass fraction goes from 0 to 1; percent are written `82 %`, or with the unit in the heading: `assay / %`";
        self.refuse(name, ErrorKind::OutOfRange, "is above 1", hint)
    }

    /// A purity: above 1 it may be interference, far above it is a percent typed as a fraction.
    pub fn purity(&self, name: &str) -> Option<LoggedNumber> {
        let number = self.not_negative(name)?;
        if number.value <= HIGHEST_PURITY {
            return Some(number);
        }
        let hint = "a purity is a mass fraction; percent are written `99 %`, or with the unit in the heading: `purity / %`";
        self.refuse(name, ErrorKind::OutOfRange, "is no purity", hint)
    }

    /// A mass fraction from 0 to 1 in a column with a name of the user's own.
    pub fn own_fraction(&self, name: &str) -> Option<f64> {
        let (head, text) = self.cell(name)?;
        let fraction = Dimension::Fraction;
        let unit = head.unit.filter(|unit| unit.dimension == fraction);
        match of_dimension(text, self.table.written.marks, fraction, unit) {
            Ok(value) if (0.0..=1.0).contains(&value) => Some(value),
            Ok(_) => {
                let hint = "a mass fraction goes from 0 to 1";
                self.refuse(name, ErrorKind::OutOfRange, "is no mass fraction", hint)
            }
            Err(hint) => self.no_number(name, &hint),
        }
    }

    /// The value, or a fault when the cell is empty.
    pub fn needed<T>(&self, name: &str, value: Option<T>) -> Option<T> {
        // A column that the log lacks is missed once, and not in each row.
        if value.is_none() && self.cell(name).is_none() && !self.table.lacks.contains(&name) {
            let hint = format!("write the value, or {}", self.not_known());
            self.fault(name, ErrorKind::Missing, "is empty", &hint);
        }
        if value.is_none() && self.is_sound() && self.cell(name).is_some() {
            let hint = format!("write the value, or {}", self.not_known());
            let what = "holds a word for a missing value";
            self.refuse::<()>(name, ErrorKind::Missing, what, &hint);
        }
        value
    }

    /// The value, or a stand-in with a fault, for which [`RowReader::finish`] keeps the row back.
    pub fn demanded<T: Default>(&self, name: &str, value: Option<T>) -> T {
        self.needed(name, value).unwrap_or_default()
    }

    /// Hands over a row without fault; else lists it as left out, once for each of its faults.
    pub fn finish<T>(self, left_out: &mut Vec<LeftOut>, row: T) -> Option<T> {
        if self.is_sound() {
            return Some(row);
        }
        self.finish_lacking(None, left_out, row)
    }

    /// The same, but hands over a row too whose only fault is that the cell of this column is empty.
    pub fn finish_lacking<T>(
        self,
        column: Option<&str>,
        left_out: &mut Vec<LeftOut>,
        row: T,
    ) -> Option<T> {
        let names_a_run = !matches!(self.table.kind, LogKind::Lots | LogKind::Titrants);
        let run = self.table.run(self.row).filter(|_| names_a_run);
        let lacks = column.filter(|name| self.cell(name).is_none());
        let heading = lacks.map(|name| {
            let known = self.table.column(name);
            known.map_or(name, |column| &self.table.heads[column].heading)
        });
        let is_gap = |fault: &Error| heading.is_some() && fault.column() == heading;
        let is_usable = self.table.has_usable_rows() && self.faults.borrow().iter().all(is_gap);
        let row = is_usable.then_some(row);
        let faults = self.faults.into_inner().into_iter();
        left_out.extend(faults.map(|fault| LeftOut::new(run, fault)));
        row
    }
}
