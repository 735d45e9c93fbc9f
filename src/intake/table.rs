//! One log as a table of named columns.
//!
//! In: a log file. Out: [`Table`].
//! This module never reads a value.

mod parts;

use std::cell::RefCell;
use std::collections::BTreeMap;

use super::columns::needed;
use super::heading_units::cut;
use super::headings::{Head, head, is_known};
use super::not_used::{LeftOut, LogFile};
use super::table_at::{TableAt, chosen};
use super::written::Written;
use crate::campaign::{Campaign, Decimal, LogKind};
use crate::error::{Cause, Error, ErrorKind, Faults, Place};
use crate::name::Name;
use crate::sheets::{File, Grid, Mark, Numbers, Sheet, grid, tables};
use crate::units::Unit;

/// A column that a reader asks for: its name, and where it stands in the table, which may lack it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column<'n> {
    pub name: &'n str,
    pub position: Option<usize>,
}

/// One log: named columns of text.
#[derive(Default)]
pub(super) struct Table {
    pub kind: LogKind,
    pub file: Name,
    /// Its columns; none before they are named.
    pub heads: Vec<Head>,
    /// Faults of headings; the rows can be read all the same.
    pub faults: Vec<Error>,
    /// Columns that the log cannot do without and does not have.
    pub lacks: Vec<&'static str>,
    /// How its cells are written.
    pub written: Written,
    grid: Grid,
    sheet: Sheet,
    /// Title and line of each table of the file or sheet, this one included.
    tables: Vec<TableAt>,
    /// The file, and the sheet where it has several, without the part that names a table.
    sheet_name: String,
    /// For each column its numbers as they are cast, where it holds numbers with a decimal point.
    numbers: Vec<Option<Numbers>>,
    /// For each column whose empty cells repeat the one above, the row that each of its cells stands in.
    above: Vec<Option<Vec<u32>>>,
    /// Positions of the columns by their names.
    positions: BTreeMap<String, usize>,
    /// For each column its partner with the standard uncertainty.
    partners: Vec<Option<usize>>,
    /// For each column the name that was read last: rows of one run often stand together.
    last_names: RefCell<Vec<Name>>,
}

impl Table {
    /// Opens a log at its headings, which are not named yet; it may have no row.
    ///
    /// # Errors
    /// A file that cannot be read or holds nothing, and a part of it that is not there.
    pub fn open(campaign: &Campaign, file: &LogFile) -> Result<Table, Error> {
        let name = file.name();
        let decimal = campaign.logs.decimal;
        let written = File {
            name: &name,
            bytes: &file.bytes,
            separator: campaign.logs.separator,
            mark: match decimal {
                Decimal::Point => Mark::Point,
                Decimal::Comma => Mark::Comma,
            },
        };
        let (grid, part) = grid(&written, file.part.as_deref())?;
        // The same for every log, so that the tables of a file have the same numbers for all of them.
        let known = |text: &str| {
            let mut kinds = LogKind::ALL.into_iter();
            kinds.any(|kind| is_known(campaign, kind, text))
        };
        let mut sheets = tables(&grid, &known, &|text| Unit::named(text).is_some());
        let at = |sheet: &Sheet| TableAt {
            title: sheet.title.clone(),
            line: grid.line(sheet.heading),
        };
        let tables: Vec<TableAt> = sheets.iter().map(at).collect();
        let position = part.map_or(Ok(0), |part| chosen(&name, &tables, part))?;
        if position >= sheets.len() {
            let hint = "a log has one line of headings and one row for each entry";
            let fault = Error::new(ErrorKind::Empty, format!("`{name}` is empty"));
            return Err(fault.in_file(&name).hint(hint));
        }
        let sheet_name = part.and_then(|part| name.strip_suffix(part));
        let sheet_name = sheet_name.unwrap_or(&name).trim_end_matches('#');
        Ok(Table {
            kind: file.kind,
            sheet_name: sheet_name.to_string(),
            file: name.into(),
            sheet: sheets.swap_remove(position),
            grid,
            tables,
            ..Table::default()
        })
    }

    /// Reads a log file.
    ///
    /// # Errors
    /// Every fault of the file as a whole: unreadable, empty.
    pub fn read(campaign: &Campaign, file: &LogFile) -> Result<Table, Faults> {
        let mut table = Table::open(campaign, file)?;
        Faults::or(table.long_cells(), ())?;
        if table.row_count() == 0 {
            return Err(table.without_rows().into());
        }
        table.faults = table.name_columns(campaign);
        let mut lacks: Vec<&str> = needed(file.kind).collect();
        if file.kind == LogKind::Runs && campaign.chemistry.is_some() {
            lacks.push("feed_mass");
        }
        lacks.retain(|wanted| table.heads.iter().all(|head| head.name != *wanted));
        table.lacks = lacks;
        table.fill_from_above(campaign);
        table.cast(campaign);
        Ok(table)
    }

    /// Names the columns; gives the faults of their headings.
    pub fn name_columns(&mut self, campaign: &Campaign) -> Vec<Error> {
        let place = self.heading_place();
        let mut faults = Vec::new();
        let headings = self.grid.headings(&self.sheet);
        let is_unit = |text: &str| Unit::named(text).is_some();
        let of_column = |(position, text): (usize, Option<&str>)| {
            let text = match text {
                Some(text) => text.to_string(),
                None => format!("(column {})", position + 1),
            };
            let units = self.sheet.units;
            let unit = units.and_then(|row| self.grid.cell(position, row));
            let unit = unit.map(|unit| unit.trim_matches(['(', ')', '[', ']']).trim());
            match unit {
                Some(unit) if is_unit(unit) && cut(&text, is_unit).unit.is_none() => {
                    format!("{text} / {unit}")
                }
                _ => text,
            }
        };
        let texts: Vec<String> = headings.into_iter().enumerate().map(of_column).collect();
        for text in &texts {
            let (head, fault) = head(campaign, self.kind, &self.file, text);
            faults.extend(fault.map(|fault| fault.at(&place)));
            if let Some(first) = self.positions.get(&head.name) {
                let message = format!(
                    "two columns in `{}` have one meaning: `{}` and `{}`",
                    self.file, self.heads[*first].heading, head.heading
                );
                let fault = place.fault(ErrorKind::Heading, message, "rename one of them");
                faults.push(fault.in_column(&head.heading));
            }
            let position = self.heads.len();
            self.positions.entry(head.name.clone()).or_insert(position);
            self.heads.push(head);
        }
        self.last_names = RefCell::new(vec![Name::default(); self.heads.len()]);
        let heads = self.heads.iter();
        let partners = heads.map(|head| self.positions.get(&format!("u_{}", head.name)).copied());
        self.partners = partners.collect();
        faults
    }

    /// The name in a cell, which shares its text with the cell before it where that is the same; `None` where it is none.
    pub fn shared_name(
        &self,
        column: usize,
        text: &str,
        is_name: impl Fn() -> bool,
    ) -> Option<Name> {
        let mut last = self.last_names.borrow_mut();
        if last[column] != *text {
            if !is_name() {
                return None;
            }
            last[column] = text.into();
        }
        Some(last[column].clone())
    }

    /// The column with the standard uncertainties of another.
    pub fn partner(&self, column: usize) -> Option<usize> {
        self.partners.get(column).copied().flatten()
    }

    /// Casts the columns of numbers, where a decimal point is written, and finds out from the other cells how they are written.
    fn cast(&mut self, campaign: &Campaign) {
        let is_point = campaign.logs.decimal == Decimal::Point;
        let heads = self.heads.iter().enumerate();
        let numbers = heads.map(|(column, head)| {
            let holds_numbers = head.holds.is_some() && head.may_hold_numbers();
            let cells = self.grid.column(column);
            Some(cells.filter(|_| is_point && holds_numbers)?.numbers())
        });
        self.numbers = numbers.collect();
        let table = &*self;
        let mut rows = self.sheet.rows.iter().peekable();
        let is_row = |row: usize| rows.next_if(|known| **known as usize == row).is_some();
        let others = self.grid.others(is_row);
        self.written = Written::of_table(&campaign.logs, &table.heads, |column| {
            let numbers = table.numbers.get(column).and_then(Option::as_ref);
            let are_all = numbers.is_some_and(|numbers| numbers.are_all_but(&others));
            let rows = 0..if are_all { 0 } else { table.row_count() };
            let not_cast = rows.filter(move |row| table.number(column, *row).is_none());
            not_cast.filter_map(move |row| table.cell(column, row))
        });
    }

    /// Finds for each empty cell of the columns that repeat the one above the row that it repeats.
    fn fill_from_above(&mut self, campaign: &Campaign) {
        let repeats = |head: &Head| {
            let mut named = campaign.logs.as_above.iter();
            named.any(|named| named.column == head.name || named.column == head.heading)
        };
        let heads = self.heads.iter().enumerate();
        let above = heads.map(|(column, head)| {
            repeats(head).then(|| {
                let mut last = 0;
                let rows = self.sheet.rows.iter();
                rows.map(|row| {
                    if self.grid.cell(column, *row as usize).is_some() {
                        last = *row;
                    }
                    last
                })
                .collect()
            })
        });
        self.above = above.collect();
    }

    /// Where the headings stand.
    pub fn heading_place(&self) -> Place {
        Place::new(&self.file, self.grid.line(self.sheet.heading))
    }

    /// Separator of its cells, where the file is a text.
    pub fn separator(&self) -> Option<char> {
        self.grid.separator
    }

    /// The columns of those names, sought once for all rows.
    pub fn columns<'n, const COUNT: usize>(&self, names: [&'n str; COUNT]) -> [Column<'n>; COUNT] {
        names.map(|name| self.column(name))
    }

    /// The column of that name.
    pub fn column<'n>(&self, name: &'n str) -> Column<'n> {
        let position = self.positions.get(name).copied();
        Column { name, position }
    }

    /// What a message calls a column.
    pub fn heading<'n>(&'n self, column: Column<'n>) -> &'n str {
        let heading = |position: usize| self.heads[position].heading.as_str();
        column.position.map_or(column.name, heading)
    }

    /// Text of a cell.
    pub fn cell(&self, column: usize, row: usize) -> Option<&str> {
        let row = match self.above.get(column) {
            Some(Some(above)) => above[row],
            _ => self.sheet.rows[row],
        };
        self.grid.cell(column, row as usize)
    }

    /// The number of a cell as it was cast; `None` where it has to be read as text.
    pub fn number(&self, column: usize, row: usize) -> Option<f64> {
        let numbers = self.numbers.get(column)?.as_ref()?;
        numbers.get(self.sheet.rows[row] as usize)
    }

    /// Where a row stands.
    pub fn place(&self, row: usize) -> Place {
        Place::new(&self.file, self.grid.line(self.sheet.rows[row] as usize))
    }

    /// The run that a row is about: its cell, or the stem of a file of readings without a column `run`.
    pub fn run(&self, row: usize) -> Option<&str> {
        if let Some(position) = self.column("run").position {
            return self.cell(position, row);
        }
        let name = self.file.rsplit(['/', '\\']).next()?;
        let stem = name.split_once('.').map_or(name, |(stem, _)| stem);
        (self.kind == LogKind::Readings).then_some(stem)
    }

    /// Number of rows, those that could not be cut into cells included.
    pub fn row_count(&self) -> usize {
        self.sheet.rows.len()
    }

    /// Rows with a cell for each heading.
    pub fn sound_rows(&self) -> impl Iterator<Item = usize> {
        (0..self.sheet.rows.len()).filter(|row| self.is_sound(*row))
    }

    /// Rows with too many or too few cells.
    pub fn ragged_rows(&self) -> impl Iterator<Item = usize> {
        (0..self.sheet.rows.len()).filter(|row| !self.is_sound(*row))
    }

    fn is_sound(&self, row: usize) -> bool {
        self.grid.ragged(&self.sheet, row).is_none()
    }

    /// Lists the rows with too many or too few cells; one that names no run stops the work,
    /// because nobody could say which run lacks it.
    pub fn leave_out_ragged_rows(&self, left_out: &mut Vec<LeftOut>, stops: &mut Vec<Error>) {
        for row in self.ragged_rows() {
            let Some([cells, of_heading]) = self.grid.ragged(&self.sheet, row) else {
                continue;
            };
            let place = self.place(row);
            let message = format!("{place} has {cells} cells where the heading has {of_heading}");
            let hint = "check the separators on that line; a cell that holds one needs quotes";
            let cause = format!("row with {cells} cells where the heading has {of_heading}");
            let fault = place.fault(ErrorKind::BadRow, message, hint);
            let fault = fault.alike(Cause::Things(cause), None);
            match self.run(row) {
                Some(run) => left_out.push(LeftOut::new(Some(run), fault)),
                None => stops.push(fault),
            }
        }
    }
}
