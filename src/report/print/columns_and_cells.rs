//! A table before it is printed.
//!
//! In: names as they were logged, figures in the unit of the data. Out: [`Table`], which every printer takes.
//! This module never rounds and never makes a name harmless: the printers do.

use crate::regression::Interval;

/// The answer to one question, row by row.
#[derive(Debug, Clone, Default)]
pub struct Table {
    /// What it answers.
    pub question: String,
    /// What stands in each cell of a row, in that order.
    pub columns: Vec<Column>,
    /// The rows, each with a cell a column.
    pub rows: Vec<Vec<Cell>>,
}

/// What the cells of a column are, and who sees them.
#[derive(Debug, Clone, Default)]
pub struct Column {
    /// Heading for people with its unit; empty where only data holds the column.
    pub heading: String,
    /// What its cells are.
    pub role: Role,
    /// Name in data; empty where only people see the column.
    pub key: String,
    /// Unit behind that name in CSV.
    pub key_unit: String,
    /// Where people see it.
    pub place: Place,
}

/// What the cells of a column are.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Role {
    /// Words, set to the left.
    #[default]
    Words,
    /// Figures, set to the right.
    Figures,
}

/// Where people see a column.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Place {
    /// On every page and terminal.
    #[default]
    Everywhere,
    /// In the report alone.
    Page,
    /// On a terminal alone.
    Terminal,
}

/// One thing that a table says.
#[derive(Debug, Clone)]
pub enum Cell {
    /// No figure: the reason for people, a dash without one; nothing in data.
    Missing {
        /// Why, as a name or a sentence.
        reason: String,
    },
    /// A name or a sentence as it is.
    Text(String),
    /// A name that leads to a file, with a line below it.
    Link {
        /// What is read.
        text: String,
        /// Where it leads, already fit for an address; nowhere if empty.
        target: String,
        /// What stands below, if anything.
        below: String,
    },
    /// A number of things.
    Count(usize),
    /// A probability from 0 to 1.
    Chance(f64),
    /// A figure with what is known of it.
    Figure(Figure),
}

/// A figure in the unit of the data, and how people see it.
#[derive(Debug, Clone)]
pub struct Figure {
    /// The value with its interval.
    pub value: Value,
    /// What turns it into the unit that people see.
    pub times: f64,
    /// Unit behind the figure where the heading holds none.
    pub unit: String,
    /// Whether a plus is written before what is above zero.
    pub is_signed: bool,
}

/// A value with what is known of it.
#[derive(Debug, Clone)]
pub enum Value {
    /// The value alone.
    Number {
        /// In the unit of the data.
        value: f64,
        /// How it is rounded for people.
        digits: Digits,
    },
    /// The value and half the width of its interval, where that is known.
    WithError {
        /// In the unit of the data.
        value: f64,
        /// In the unit of the data.
        half_width: Option<f64>,
    },
    /// Half the width of an interval alone.
    HalfWidth(f64),
    /// A value with an interval that is not even on both sides.
    Between {
        /// In the unit of the data.
        value: f64,
        /// Its ends.
        ends: Interval,
        /// Where the interval comes from.
        note: &'static str,
    },
    /// An interval alone.
    Range {
        /// Its ends.
        ends: Interval,
        /// How they are rounded for people.
        digits: Digits,
    },
}

/// How a figure is rounded for people.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Digits {
    /// So many decimals.
    Decimals(usize),
    /// As many as a value of its size deserves.
    Significant,
    /// As many as half the width of its interval deserves.
    OfWidth,
}

impl Value {
    /// The value itself; none of an interval alone.
    pub fn alone(&self) -> Option<f64> {
        match *self {
            Value::Number { value, .. }
            | Value::WithError { value, .. }
            | Value::HalfWidth(value)
            | Value::Between { value, .. } => Some(value),
            Value::Range { .. } => None,
        }
    }
}

impl Table {
    /// The rows of tables of one kind below one another; the columns are those of the first.
    pub fn joined(tables: impl IntoIterator<Item = Table>) -> Self {
        let mut tables = tables.into_iter();
        let mut all = tables.next().unwrap_or_default();
        all.rows.extend(tables.flat_map(|table| table.rows));
        all
    }
}

/// A table that grows column by column, each with what it says of a row.
#[derive(Debug)]
pub struct Columns<Row> {
    given: Vec<Row>,
    table: Table,
}

impl<Row: Copy> Columns<Row> {
    /// Rows of which nothing is said yet.
    pub fn of(given: impl IntoIterator<Item = Row>) -> Self {
        let given: Vec<Row> = given.into_iter().collect();
        let mut table = Table::default();
        table.rows.resize_with(given.len(), Vec::new);
        Columns { given, table }
    }

    /// Words for people.
    pub fn words<C: Into<Cell>>(
        &mut self,
        heading: impl Into<String>,
        cell: impl Fn(Row) -> C,
    ) -> &mut Column {
        let column = self.data("", cell);
        column.heading = heading.into();
        column
    }

    /// Figures for people.
    pub fn figures<C: Into<Cell>>(
        &mut self,
        heading: impl Into<String>,
        cell: impl Fn(Row) -> C,
    ) -> &mut Column {
        let column = self.words(heading, cell);
        column.role = Role::Figures;
        column
    }

    /// A column for data alone.
    pub fn data<C: Into<Cell>>(
        &mut self,
        key: impl Into<String>,
        cell: impl Fn(Row) -> C,
    ) -> &mut Column {
        for (cells, row) in self.table.rows.iter_mut().zip(&self.given) {
            cells.push(cell(*row).into());
        }
        let place = self.table.columns.len();
        self.table.columns.push(Column::default());
        self.table.columns[place].key(key)
    }

    /// The finished table, and what it answers.
    pub fn answer(mut self, question: impl Into<String>) -> Table {
        self.table.question = question.into();
        self.table
    }
}

impl Column {
    /// The name in data.
    pub fn key(&mut self, key: impl Into<String>) -> &mut Self {
        self.key = key.into();
        self
    }

    /// The unit behind that name in CSV.
    pub fn in_unit(&mut self, unit: impl Into<String>) -> &mut Self {
        self.key_unit = unit.into();
        self
    }

    /// Shown to people there alone.
    pub fn on(&mut self, place: Place) -> &mut Self {
        self.place = place;
        self
    }

    /// Hidden from people unless that holds.
    pub fn when(&mut self, it_says_something: bool) -> &mut Self {
        if !it_says_something {
            self.heading.clear();
        }
        self
    }

    /// The heading in CSV.
    pub fn keyed(&self) -> String {
        with_unit(&self.key, &self.key_unit)
    }
}

/// A heading with the unit of its figures; nothing behind it for a pure number.
pub fn with_unit(heading: &str, unit: &str) -> String {
    match unit {
        "" => heading.to_string(),
        unit => format!("{heading} / {unit}"),
    }
}

impl Cell {
    /// A name or a sentence.
    pub fn text(text: impl Into<String>) -> Self {
        Cell::Text(text.into())
    }

    /// No figure, and why; a dash for people without a reason.
    pub fn because(reason: impl Into<String>) -> Self {
        Cell::Missing {
            reason: reason.into(),
        }
    }

    /// A value to so many decimals.
    pub fn fixed(value: f64, decimals: usize) -> Self {
        let digits = Digits::Decimals(decimals);
        Cell::of(Value::Number { value, digits })
    }

    /// A value to the digits that its size deserves.
    pub fn plain(value: f64) -> Self {
        let digits = Digits::Significant;
        Cell::of(Value::Number { value, digits })
    }

    /// A value and half the width of its interval.
    pub fn with_error(value: f64, half_width: f64) -> Self {
        let half_width = Some(half_width);
        Cell::of(Value::WithError { value, half_width })
    }

    /// An interval to so many decimals.
    pub fn range(ends: Interval, decimals: usize) -> Self {
        let digits = Digits::Decimals(decimals);
        Cell::of(Value::Range { ends, digits })
    }

    /// A figure in its own unit.
    pub fn of(value: Value) -> Self {
        Cell::Figure(Figure {
            value,
            times: 1.0,
            unit: String::new(),
            is_signed: false,
        })
    }

    /// Shown to people so many times as large.
    pub fn times(self, factor: f64) -> Self {
        self.changed(|figure| figure.times *= factor)
    }

    /// Shown with this unit behind it.
    pub fn in_unit(self, unit: &str) -> Self {
        self.changed(|figure| figure.unit = unit.to_string())
    }

    /// Shown with a plus where it is above zero.
    pub fn signed(self) -> Self {
        self.changed(|figure| figure.is_signed = true)
    }

    fn changed(mut self, change: impl FnOnce(&mut Figure)) -> Self {
        if let Cell::Figure(figure) = &mut self {
            change(figure);
        }
        self
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Cell::Text(text)
    }
}

impl From<&String> for Cell {
    fn from(text: &String) -> Self {
        Cell::Text(text.clone())
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Cell::Text(text.into())
    }
}

impl From<usize> for Cell {
    fn from(number: usize) -> Self {
        Cell::Count(number)
    }
}

impl From<f64> for Cell {
    fn from(value: f64) -> Self {
        Cell::plain(value)
    }
}

impl<C: Into<Cell>> From<Option<C>> for Cell {
    fn from(cell: Option<C>) -> Self {
        cell.map_or_else(|| Cell::because(""), Into::into)
    }
}
