//! Reader of one row of a log, cell by cell.
//!
//! In: a table. Out: [`RowReader`], which gives numbers, dates and texts, and keeps the faults of its row.
//! This module never stops the work for a single cell.

use std::cell::RefCell;

use super::cell_values::{LoggedDate, LoggedNumber};
use super::cell_words::{invisible, is_missing};
use super::dates;
use super::headings::Head;
use super::not_used::LeftOut;
use super::number::{NOT_KNOWN, of_dimension, or_else, outside, outside_uncertainty};
use super::plus_minus;
use super::table::{Column, Table};
use super::titre_row::CONTROL;
use crate::campaign::{Campaign, LogKind, SecondElement};
use crate::error::{Cause, Error, ErrorKind, Place};
use crate::name::Name;
use crate::units::Dimension;

/// No interference makes a product look half as pure again as it can be.
const HIGHEST_PURITY: f64 = 1.5;

/// What to do about a word for nothing where a name should stand.
fn name_or_empty() -> String {
    "leave the cell empty, or write the name".into()
}

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

    /// Reads each row of a log; kept are those without a fault that hold anything.
    pub fn each<R>(
        table: &'t Table,
        rows: &mut Vec<R>,
        left_out: &mut Vec<LeftOut>,
        read: impl Fn(&Self) -> Option<R>,
    ) {
        rows.reserve(table.row_count());
        for reader in Self::all(table) {
            let row = read(&reader);
            rows.extend(reader.finish(left_out, row).flatten());
        }
    }

    /// Where the row stands.
    pub fn place(&self) -> Place {
        self.table.place(self.row)
    }

    /// A cell that holds anything, with its heading.
    pub fn cell(&self, column: Column) -> Option<(&'t Head, &'t str)> {
        let head = &self.table.heads[column.position?];
        Some((head, self.text(column)?))
    }

    /// Text of a cell; `None` when the column or the cell is empty.
    pub fn text(&self, column: Column) -> Option<&'t str> {
        self.table.cell(column.position?, self.row)
    }

    /// Texts of a cell that holds several, `;` between them.
    pub fn list(&self, column: Column) -> Vec<&'t str> {
        let items = self.text(column).into_iter();
        let items = items.flat_map(|text| text.split(';')).map(str::trim);
        items.filter(|item| !item.is_empty()).collect()
    }

    /// Notes a fault of a cell: `what` continues "column `x` in `file` line n ...".
    pub fn fault(&self, column: Column, kind: ErrorKind, what: &str, hint: &str) {
        self.note(column, kind, what, None, hint);
    }

    /// As [`RowReader::fault`], where `many` says of all cells alike what `what` says of one.
    pub fn fault_alike(&self, column: Column, kind: ErrorKind, what: &str, many: &str, hint: &str) {
        self.fault(column, kind, what, hint);
        let mut faults = self.faults.borrow_mut();
        let last = faults.pop();
        faults.extend(last.map(|fault| fault.alike(Cause::Cells(many.into()), None)));
    }

    fn note(&self, column: Column, kind: ErrorKind, what: &str, value: Option<&str>, hint: &str) {
        let fault = self.place();
        let fault = fault.cell(kind, self.table.heading(column), what, value, hint);
        self.faults.borrow_mut().push(fault);
    }

    /// Notes a fault of a cell that ends with its text; there is no value then.
    pub fn refuse<T>(&self, column: Column, kind: ErrorKind, what: &str, hint: &str) -> Option<T> {
        let text = self.text(column).unwrap_or_default();
        self.note(column, kind, what, Some(text), hint);
        None
    }

    /// Notes that a cell holds no number.
    fn no_number<T>(&self, column: Column, hint: &str) -> Option<T> {
        let hint = or_else(hint, self.not_known());
        self.refuse(column, ErrorKind::NotANumber, "is not a number", &hint)
    }

    /// What is left where nobody knows what should stand in a cell.
    fn not_known(&self) -> &'static str {
        match self.table.kind {
            LogKind::Lots | LogKind::Titrants | LogKind::Blanks => "take the row out",
            _ => NOT_KNOWN,
        }
    }

    /// The text of a name; a word for nothing and a character that nobody sees are faults.
    pub fn name_text(&self, column: Column) -> Option<&'t str> {
        let text = self.text(column)?;
        self.is_name(column, text, name_or_empty).then_some(text)
    }

    /// The same as a name that rows in succession share.
    pub fn name(&self, column: Column) -> Option<Name> {
        let (position, text) = (column.position?, self.text(column)?);
        let is_name = || self.is_name(column, text, name_or_empty);
        self.table.shared_name(position, text, is_name)
    }

    /// Names, `;` between them.
    pub fn names(&self, column: Column) -> Vec<&'t str> {
        let mut names = self.list(column);
        names.retain(|text| self.is_name(column, text, name_or_empty));
        names
    }

    /// Whether a text can be a name, with the hint for a word for nothing.
    pub fn is_name(&self, column: Column, text: &str, hint: impl Fn() -> String) -> bool {
        if let Some(sign) = invisible(text) {
            let code = u32::from(sign);
            let what = format!("holds a character that nobody sees, U+{code:04X}");
            let hint = "type the name anew, letter by letter";
            self.refuse::<()>(column, ErrorKind::UnknownName, &what, hint);
            return false;
        }
        if is_missing(text) {
            let what = "holds a word for a missing value";
            self.refuse::<()>(column, ErrorKind::Missing, what, &hint());
            return false;
        }
        true
    }

    /// Whether no fault was noted so far, and the log has the columns that a row needs.
    pub fn is_sound(&self) -> bool {
        self.faults.borrow().is_empty() && self.table.has_usable_rows()
    }

    /// A number with the uncertainty of its `u_` partner or behind its ±, in base units.
    pub fn number(&self, column: Column) -> Option<LoggedNumber> {
        let position = column.position?;
        let head = &self.table.heads[position];
        let dimension = head.dimension();
        let marks = self.table.written.marks;
        let plain = LoggedNumber::plain;
        let read = match self.table.number(position, self.row) {
            Some(number) => Ok(plain(head.unit.map_or(number, |unit| unit.to_base(number)))),
            None => {
                let text = self.text(column);
                // A word for nothing is an empty cell; where a number is needed, it is told.
                let Some(text) = text.filter(|text| !is_missing(text)) else {
                    return head.empty.map(plain);
                };
                plus_minus::number(column.name, text, marks, dimension, head.unit)
            }
        };
        let number = match read.map(|number| (number, outside(number.value, dimension))) {
            Ok((number, None)) => number,
            Ok((_, Some(hint))) => {
                return self.refuse(column, ErrorKind::OutOfRange, "is out of all range", &hint);
            }
            Err(hint) => return self.no_number(column, &hint),
        };
        let partner = self.uncertainty(position, dimension);
        if partner.is_some() && number.uncertainty.is_some() {
            let hint = format!("leave out the ± or the cell under `u_{}`", column.name);
            let (kind, what) = (ErrorKind::NotANumber, "has two uncertainties");
            return self.refuse(column, kind, what, &hint);
        }
        Some(LoggedNumber {
            uncertainty: number.uncertainty.or(partner),
            ..number
        })
    }

    /// The `u_` partner of a column; without a unit of its own it takes that of the column.
    fn uncertainty(&self, position: usize, dimension: Dimension) -> Option<f64> {
        let partner = self.table.partner(position)?;
        let text = self.table.cell(partner, self.row)?;
        let [head, own] = [position, partner].map(|column| &self.table.heads[column]);
        let partner = Column {
            name: &own.name,
            position: Some(partner),
        };
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
    pub fn date(&self, column: Column) -> Option<LoggedDate> {
        let (position, text) = (column.position?, self.text(column)?);
        match dates::date(text, self.table.written.orders[position]) {
            Ok(date) => Some(date),
            Err(no_date) => self.refuse(column, ErrorKind::OutOfRange, no_date.what, &no_date.hint),
        }
    }

    /// A number above zero.
    pub fn positive(&self, column: Column) -> Option<LoggedNumber> {
        let number = self.number(column)?;
        if number.value > 0.0 {
            return Some(number);
        }
        let hint = format!("check the entry, or {}", self.not_known());
        self.above_zero(column, Some(number), &hint)
    }

    /// The number where it is above zero, else a fault with that hint.
    pub fn above_zero(
        &self,
        column: Column,
        number: Option<LoggedNumber>,
        hint: &str,
    ) -> Option<LoggedNumber> {
        if number?.value > 0.0 {
            return number;
        }
        self.refuse(column, ErrorKind::NotPositive, "is not above zero", hint)
    }

    /// A number that is zero or above.
    pub fn not_negative(&self, column: Column) -> Option<LoggedNumber> {
        let number = self.number(column)?;
        if number.value >= 0.0 {
            return Some(number);
        }
        let hint = "check the sign of the entry";
        self.refuse(column, ErrorKind::NotPositive, "is negative", hint)
    }

    /// A mass fraction from 0 to 1.
    pub fn fraction(&self, column: Column) -> Option<LoggedNumber> {
        let number = self.not_negative(column)?;
        if number.value <= 1.0 {
            return Some(number);
        }
        let hint = "a mass fraction goes from 0 to 1; percent are written `82 %`, or with the unit in the heading: `assay / %`";
        self.refuse(column, ErrorKind::OutOfRange, "is above 1", hint)
    }

    /// A purity: above 1 it may be interference, far above it is a percent typed as a fraction.
    pub fn purity(&self, column: Column) -> Option<LoggedNumber> {
        let number = self.not_negative(column)?;
        if number.value <= HIGHEST_PURITY {
            return Some(number);
        }
        let hint = "a purity is a mass fraction; percent are written `99 %`, or with the unit in the heading: `purity / %`";
        self.refuse(column, ErrorKind::OutOfRange, "is no purity", hint)
    }

    /// A mass fraction from 0 to 1 in a column with a name of the user's own, with that of its `u_` partner.
    pub fn own_fraction(&self, column: Column) -> Option<LoggedNumber> {
        let (head, text) = self.cell(column)?;
        let fraction = Dimension::Fraction;
        let unit = head.unit.filter(|unit| unit.dimension == fraction);
        match of_dimension(text, self.table.written.marks, fraction, unit) {
            Ok(value) if (0.0..=1.0).contains(&value) => Some(LoggedNumber {
                value,
                uncertainty: self.uncertainty(column.position?, fraction),
            }),
            Ok(_) => {
                let hint = "a mass fraction goes from 0 to 1";
                self.refuse(column, ErrorKind::OutOfRange, "is no mass fraction", hint)
            }
            Err(hint) => self.no_number(column, &hint),
        }
    }

    /// Assays of further elements, in the order of the campaign file.
    pub fn second_assays(&self, campaign: &Campaign) -> Vec<Option<LoggedNumber>> {
        let assay = |of: &SecondElement| self.own_fraction(self.table.column(&of.assay));
        campaign.second.iter().map(assay).collect()
    }

    /// The value, or a fault when the cell is empty.
    pub fn needed<T>(&self, column: Column, value: Option<T>) -> Option<T> {
        let is_empty = self.cell(column).is_none();
        let hint = || format!("write the value, or {}", self.not_known());
        // A column that the log lacks is missed once, and not in each row.
        if value.is_none() && is_empty && !self.table.lacks.contains(&column.name) {
            self.fault(column, ErrorKind::Missing, "is empty", &hint());
        }
        if value.is_none() && !is_empty && self.is_sound() {
            let what = "holds a word for a missing value";
            self.refuse::<()>(column, ErrorKind::Missing, what, &hint());
        }
        value
    }

    /// The value, or a stand-in with a fault, for which [`RowReader::finish`] keeps the row back.
    pub fn demanded<T: Default>(&self, column: Column, value: Option<T>) -> T {
        self.needed(column, value).unwrap_or_default()
    }

    /// Hands over a row without fault; else lists it as left out, once for each of its faults.
    pub fn finish<T>(self, left_out: &mut Vec<LeftOut>, row: T) -> Option<T> {
        self.finish_lacking(None, left_out, row)
    }

    /// The same, but hands over a row too whose only fault is that the cell of this column is empty.
    pub fn finish_lacking<T>(
        self,
        column: Option<Column>,
        left_out: &mut Vec<LeftOut>,
        row: T,
    ) -> Option<T> {
        if self.is_sound() {
            return Some(row);
        }
        let names_a_run = !matches!(
            self.table.kind,
            LogKind::Lots | LogKind::Titrants | LogKind::Blanks
        );
        let of = self.text(self.table.column("crop"));
        let is_control = self.table.kind == LogKind::Titres && of == Some(CONTROL);
        let run = self.table.run(self.row);
        let run = run.filter(|_| names_a_run && !is_control);
        let lacks = column.filter(|column| self.text(*column).is_none());
        let heading = lacks.map(|column| self.table.heading(column));
        let is_gap = |fault: &Error| heading.is_some() && fault.column() == heading;
        let is_usable = self.table.has_usable_rows() && self.faults.borrow().iter().all(is_gap);
        let row = is_usable.then_some(row);
        let faults = self.faults.into_inner().into_iter();
        left_out.extend(faults.map(|fault| LeftOut::new(run, fault)));
        row
    }
}
