//! Reader of the runs log: one row a run.
//!
//! In: a table. Out: its rows, the columns that are kept as they are, and the numbers in these.
//! This module never reads a cell of a column of the design.

use super::logged::{Logged, LoggedColumn};
use super::marks::Marks;
use super::not_used::LeftOut;
use super::number::{NOT_KNOWN, NOTHING_ELSE, or_else, outside_own, plain};
use super::plus_minus::{around_plus_minus, with_plus_minus};
use super::rows::RowReader;
use super::run_row::Columns;
use super::table::Table;
use super::versions::Versions;
use crate::campaign::{Campaign, FactorKind, LOT};
use crate::error::{Cause, Error, ErrorKind};
use crate::sheets::is_over_rows;
use crate::units::{Dimension, Unit};

pub(super) fn read(
    campaign: &Campaign,
    table: &Table,
    versions: &Versions,
    logged: &mut Logged,
    stops: &mut Vec<Error>,
) {
    logged.runs.lines += table.row_count();
    let before = logged.runs.rows.len();
    let mut kept = Vec::new();
    let columns = Columns::of(campaign, table);
    let run_column = table.column("run");
    logged.runs.rows.reserve(table.row_count());
    for reader in RowReader::all(table) {
        let Some(run) = reader.needed(run_column, reader.name_text(run_column)) else {
            if !table.has_usable_rows() {
                // Its other cells are looked at all the same.
                columns.row(&reader, String::new());
            }
            reader.finish(&mut logged.left_out, ());
            continue;
        };
        if is_over_rows(run) {
            let hint = "take the row out of the log, or give the run another name";
            let what = "is a row over other rows";
            reader.refuse::<()>(run_column, ErrorKind::BadRow, what, hint);
            reader.finish(&mut logged.left_out, ());
            continue;
        }
        if !versions.counts(&reader.place()) {
            continue;
        }
        logged.runs.names.push(run.to_string());
        let row = columns.row(&reader, run.into());
        if campaign.has_spellings(LOT) {
            let lots = reader.list(columns.lot).into_iter();
            let written = lots.map(|lot| (LOT.to_string(), lot.to_string()));
            logged.as_written.extend(written);
        }
        if let Some(reason) = &row.set_aside {
            let decision = Error::new(ErrorKind::Missing, format!("set aside: {reason}"))
                .alike(Cause::Things("set aside".into()), Some(reason));
            logged.left_out.push(LeftOut {
                on_purpose: true,
                ..LeftOut::new(Some(&row.run), decision.at(&row.place))
            });
        }
        let row_number = reader.row;
        // A plan may lack its charge; whether it is one is known when all logs are read.
        let may_lack = row.is_open.then_some(columns.feed_mass);
        if let Some(row) = reader.finish_lacking(may_lack, &mut logged.left_out, row) {
            logged.runs.rows.push(row);
            kept.push(row_number);
        }
    }
    let counts = |row: usize| versions.counts(&table.place(row));
    let ragged = table.ragged_rows().filter(|row| counts(*row));
    let ragged = ragged.filter_map(|row| table.run(row));
    logged.runs.names.extend(ragged.map(str::to_string));
    keep_own_columns(campaign, table, before, &kept, counts, logged, stops);
    for column in &mut logged.runs.columns {
        column.cells.resize(logged.runs.rows.len(), None);
    }
    leave_out_no_numbers(campaign, before, logged);
}

/// Adds the cells of the rows kept to the columns that are no column of the design.
fn keep_own_columns(
    campaign: &Campaign,
    table: &Table,
    before: usize,
    kept: &[usize],
    counts: impl Fn(usize) -> bool,
    logged: &mut Logged,
    stops: &mut Vec<Error>,
) {
    let columns = &mut logged.runs.columns;
    let is_other = |row: &usize| kept.binary_search(row).is_err() && counts(*row);
    let others: Vec<usize> = table.sound_rows().filter(is_other).collect();
    for (position, head) in table.heads.iter().enumerate() {
        // Of two columns with one name, which is a fault, the first is kept.
        let is_first = table.column(&head.name).position == Some(position);
        if head.holds.is_some() || !is_first {
            continue;
        }
        let known = columns.iter().position(|column| column.name == head.name);
        let known = known.unwrap_or(columns.len());
        if known == columns.len() {
            columns.push(LoggedColumn {
                name: head.name.clone(),
                unit: head.unit_text.clone(),
                ..LoggedColumn::default()
            });
        }
        let column = &mut columns[known];
        let has_spellings = campaign.has_spellings(&head.name);
        if column.unit == head.unit_text {
            let mut level = |row: usize| {
                let text = table.cell(position, row)?;
                if has_spellings {
                    let written = (head.name.clone(), text.to_string());
                    logged.as_written.insert(written);
                }
                Some(campaign.level_of(&head.name, text).to_string())
            };
            column.cells.resize(before, None);
            column.marks.push((before, table.written.marks));
            let left_out = others.iter().filter_map(|row| level(*row));
            column.left_out.extend(left_out);
            column.cells.extend(kept.iter().map(|row| level(*row)));
            let is_above_one = |cell: &String| {
                cell.starts_with(|c: char| c.is_ascii_digit())
                    && plain(cell, table.written.marks).is_ok_and(|number| number > 1.0)
            };
            let mut new = column.cells[before..].iter().flatten();
            column.has_above_one |= new.any(is_above_one);
        } else {
            let message = format!(
                "column `{}` in `{}` has another unit than in the runs log before it",
                head.heading, table.file
            );
            let hint = "write the same unit in all runs logs";
            stops.push(table.lacks_column(&head.heading, message, hint));
        }
    }
}

/// Leaves out rows with a cell that holds no number where an amount or a response has them.
fn leave_out_no_numbers(campaign: &Campaign, before: usize, logged: &mut Logged) {
    let amounts = campaign.factors.iter().filter_map(|plan| match &plan.kind {
        FactorKind::Amount { unit, .. } => Some((plan.column(), unit.as_deref())),
        FactorKind::Choice { .. } => None,
    });
    let responses = campaign.responses.iter();
    let responses = responses.map(|plan| (plan.column.as_str(), plan.unit.as_deref()));
    let second = campaign.second.iter().flat_map(|of| {
        let columns = [(&of.mass_column, "g"), (&of.purity_column, "1")];
        columns.map(|(name, unit)| (name.as_str(), Some(unit)))
    });
    for (name, unit) in amounts.chain(responses).chain(second) {
        let Some(column) = logged.runs.column(name) else {
            continue;
        };
        for (position, row) in logged.runs.rows.iter().enumerate().skip(before) {
            if let Err(hint) = column.number(campaign, position, unit) {
                let text = column.cells[position].as_deref();
                let kind = ErrorKind::NotANumber;
                let fault = row.place.cell(kind, name, "is not a number", text, hint);
                logged.left_out.push(LeftOut::new(Some(&row.run), fault));
            }
        }
    }
}

impl LoggedColumn {
    /// The number in a cell, in `wanted` units where both units are known; `None` for an empty cell.
    ///
    /// # Errors
    /// A hint when the cell holds no finite number.
    pub fn number(
        &self,
        campaign: &Campaign,
        row: usize,
        wanted: Option<&str>,
    ) -> Result<Option<f64>, String> {
        let Some(text) = &self.cells[row] else {
            return Ok(None);
        };
        let log = self.marks.iter().rfind(|(first, _)| *first <= row);
        let marks = log.map_or_else(|| Marks::plain(&campaign.logs), |(_, marks)| *marks);
        let percent = text.strip_suffix('%').map(str::trim);
        let value = match around_plus_minus(percent.unwrap_or(text)) {
            None => plain(percent.unwrap_or(text), marks),
            Some((value, stated)) => {
                let value = percent.map_or(value, |_| value.trim().trim_end_matches('%'));
                let parts = (value, stated);
                let number = with_plus_minus(&self.name, parts, marks, Dimension::Plain, None);
                number.map(|number| number.value)
            }
        };
        let value = value.map_err(|hint| or_else(&hint, NOT_KNOWN))?;
        if let Some(hint) = outside_own(value) {
            return Err(hint);
        }
        let texts = [wanted, self.unit.as_deref()];
        // Nothing to convert, as in nearly all cells.
        if percent.is_none() && texts.contains(&None) {
            return Ok(Some(value));
        }
        let [wanted, own] = texts.map(|text| text.and_then(Unit::named));
        let (from, to) = match percent {
            Some(_) => (Unit::named("%"), wanted.or(own).or(Unit::named("1"))),
            None => (own, wanted),
        };
        let is_unknown = |text: &&str| Unit::named(text).is_none();
        let is_other_unit = to.map(|to| to.dimension) != Some(Dimension::Fraction)
            || texts.iter().flatten().any(is_unknown);
        if percent.is_some() && is_other_unit {
            return Err(or_else(NOTHING_ELSE, NOT_KNOWN));
        }
        if percent.is_some() && self.has_above_one && own.is_none() && wanted.is_none() {
            let hint = "other cells of this column have no `%` and are above 1: write the unit behind its heading, `/ %`, or in all cells";
            return Err(hint.into());
        }
        Ok(Some(match (from, to) {
            (Some(from), Some(to)) if from.dimension == to.dimension && from != to => {
                to.from_base(from.to_base(value))
            }
            _ => value,
        }))
    }
}
