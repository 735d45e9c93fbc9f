//! What is a table before it is printed?
//!
//! In: names as they were logged, figures in the unit of the data. Out: [`Table`], which every printer takes.
//! This module never rounds and never makes a name harmless: the printers do.

use crate::regression::Interval;

/// The answer to one question, row by row.
#[derive(Debug, Clone, Default)]
pub(in crate::report) struct Table {
    /// What it answers.
    pub question: String,
    /// What stands in each cell of a row, in that order.
    pub columns: Vec<Column>,
    /// The rows, each with a cell a column.
    pub rows: Vec<Vec<Cell>>,
}

/// What the cells of a column are, and who sees them.
#[derive(Debug, Clone, Default)]
pub(in crate::report) struct Column {
    /// Heading for people; empty where only data holds the column.
    pub heading: String,
    /// Unit behind that heading.
    pub unit: String,
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
pub(in crate::report) enum Role {
    /// Words, set to the left.
    #[default]
    Words,
    /// Figures, set to the right.
    Figures,
}

/// Where people see a column.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(in crate::report) enum Place {
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
pub(in crate::report) enum Cell {
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
pub(in crate::report) struct Figure {
    /// The value with its interval.
    pub value: Value,
    /// What turns it into the unit that people see.
    pub times: f64,
    /// Unit behind the figure where the heading holds none.
    pub unit: String,
    /// Whether a plus is written.
    pub sign: Sign,
}

/// Whether a plus is written before what is above zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::report) enum Sign {
    /// Before a value that stands for itself.
    Minus,
    /// Before a difference.
    PlusAndMinus,
}

/// A value with what is known of it.
#[derive(Debug, Clone)]
pub(in crate::report) enum Value {
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
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// Where the interval comes from.
        note: &'static str,
    },
    /// An interval alone.
    Range {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// How its ends are rounded for people.
        digits: Digits,
    },
}

/// How a figure is rounded for people.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::report) enum Digits {
    /// So many decimals.
    Decimals(usize),
    /// As many as a value of its size deserves.
    Significant,
    /// As many as half the width of its interval deserves.
    OfWidth,
}

impl Table {
    /// A table without rows.
    pub fn new(question: &str, columns: Vec<Column>) -> Self {
        Table {
            question: question.to_string(),
            columns,
            rows: Vec::new(),
        }
    }

    /// The table with these rows at its end.
    pub fn with(mut self, rows: impl IntoIterator<Item = Vec<Cell>>) -> Self {
        self.rows.extend(rows);
        self
    }

    /// The rows of tables of one kind below one another; the columns are those of the first.
    pub fn joined(tables: impl IntoIterator<Item = Table>) -> Self {
        let mut tables = tables.into_iter();
        let first = tables.next().unwrap_or_default();
        tables.fold(first, |all, table| all.with(table.rows))
    }
}

impl Column {
    /// Words for people.
    pub fn words(heading: impl Into<String>) -> Self {
        Column {
            heading: heading.into(),
            ..Column::default()
        }
    }

    /// Figures for people.
    pub fn figures(heading: impl Into<String>) -> Self {
        Column {
            role: Role::Figures,
            ..Column::words(heading)
        }
    }

    /// A column for data alone.
    pub fn data(key: impl Into<String>) -> Self {
        Column::default().key(key)
    }

    /// A column for data alone, with its unit there.
    pub fn data_in(key: impl Into<String>, unit: impl Into<String>) -> Self {
        Column::default().key_in(key, unit)
    }

    /// The unit that people see behind the heading.
    pub fn unit(mut self, unit: impl Into<String>) -> Self {
        self.unit = unit.into();
        self
    }

    /// The name in data.
    pub fn key(mut self, key: impl Into<String>) -> Self {
        self.key = key.into();
        self
    }

    /// The name in data, and its unit there.
    pub fn key_in(mut self, key: impl Into<String>, unit: impl Into<String>) -> Self {
        self.key_unit = unit.into();
        self.key(key)
    }

    /// Shown to people there alone.
    pub fn on(mut self, place: Place) -> Self {
        self.place = place;
        self
    }

    /// Hidden from people unless it has something to say.
    pub fn when(mut self, it_says_something: Says) -> Self {
        if it_says_something == Says::Nothing {
            self.heading.clear();
        }
        self
    }

    /// The heading that people read.
    pub fn headed(&self) -> String {
        with_unit(&self.heading, &self.unit)
    }

    /// The heading in CSV.
    pub fn keyed(&self) -> String {
        with_unit(&self.key, &self.key_unit)
    }
}

/// Whether a column has anything to say in this campaign.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::report) enum Says {
    /// A row at least has a figure.
    Something,
    /// No row has one.
    Nothing,
}

impl Says {
    /// Something if that holds.
    pub fn something_if(any: impl FnOnce() -> bool) -> Self {
        match any() {
            true => Says::Something,
            false => Says::Nothing,
        }
    }
}

fn with_unit(heading: &str, unit: &str) -> String {
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

    /// A name that may be absent without being missed.
    pub fn named(text: Option<&str>) -> Self {
        Cell::text(text.unwrap_or_default())
    }

    /// No figure, and nothing to say about it.
    pub fn missing() -> Self {
        Cell::because("")
    }

    /// No figure, and why.
    pub fn because(reason: impl Into<String>) -> Self {
        Cell::Missing {
            reason: reason.into(),
        }
    }

    /// A value to so many decimals.
    pub fn fixed(value: f64, decimals: usize) -> Self {
        Cell::of(Value::Number {
            value,
            digits: Digits::Decimals(decimals),
        })
    }

    /// A value to the digits that its size deserves.
    pub fn plain(value: f64) -> Self {
        Cell::of(Value::Number {
            value,
            digits: Digits::Significant,
        })
    }

    /// The same of a value that may be missing.
    pub fn plain_if(value: Option<f64>) -> Self {
        value.map_or_else(Cell::missing, Cell::plain)
    }

    /// A chance that may be missing.
    pub fn chance(chance: Option<f64>) -> Self {
        chance.map_or_else(Cell::missing, Cell::Chance)
    }

    /// A value and half the width of its interval.
    pub fn with_error(value: f64, half_width: f64) -> Self {
        Cell::of(Value::WithError {
            value,
            half_width: Some(half_width),
        })
    }

    /// An interval to so many decimals.
    pub fn range(ends: Interval, decimals: usize) -> Self {
        Cell::of(Value::Range {
            low: ends.low,
            high: ends.high,
            digits: Digits::Decimals(decimals),
        })
    }

    /// A figure in its own unit.
    pub fn of(value: Value) -> Self {
        Cell::Figure(Figure {
            value,
            times: 1.0,
            unit: String::new(),
            sign: Sign::Minus,
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
        self.changed(|figure| figure.sign = Sign::PlusAndMinus)
    }

    fn changed(mut self, change: impl FnOnce(&mut Figure)) -> Self {
        if let Cell::Figure(figure) = &mut self {
            change(figure);
        }
        self
    }
}
