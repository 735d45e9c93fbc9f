//! The text of a cell for people.
//!
//! In: a [`Table`]. Out: the same as raw texts, rounded for people.
//! This module never decides how a name is made harmless: each printer says it for its medium.

use std::collections::BTreeMap;
use std::fmt;

use super::columns_and_cells::{Cell, Column, Digits, Figure, Place, Table, Value};
use super::escape::Naming;
use super::numbers::{
    NOT_KNOWN, decimals_for, decimals_of_column, decimals_of_uncertainties, fixed, plus_minus_to,
    probability, significant,
};
use super::words::{around, when};

/// Stands where there is no figure.
const DASH: &str = "–";

/// Decimals of a value that nobody knows the width of.
const DECIMALS_WITHOUT_WIDTH: usize = 2;

/// The columns that people see there, and the cells of each row in them.
pub(super) struct Seen<'a> {
    /// The columns.
    pub columns: Vec<&'a Column>,
    /// One row a row, one cell a column.
    pub rows: Vec<Vec<&'a Cell>>,
}

/// What people see on a page, or on a terminal.
pub(super) fn for_people(table: &Table, place: Place) -> Seen<'_> {
    chosen(table, |column| {
        let is_here = column.place == Place::Everywhere || column.place == place;
        is_here && !column.heading.is_empty()
    })
}

/// What data holds.
pub(super) fn for_data(table: &Table) -> Seen<'_> {
    chosen(table, |column| !column.key.is_empty())
}

fn chosen<'a>(table: &'a Table, is_seen: impl Fn(&Column) -> bool) -> Seen<'a> {
    let seen: Vec<usize> = (0..table.columns.len())
        .filter(|&place| is_seen(&table.columns[place]))
        .collect();
    let cells = |row: &'a Vec<Cell>| seen.iter().filter_map(|&place| row.get(place)).collect();
    Seen {
        columns: seen.iter().map(|&place| &table.columns[place]).collect(),
        rows: table.rows.iter().map(cells).collect(),
    }
}

impl Seen<'_> {
    /// The headings, made harmless.
    pub fn headings(&self, naming: Naming) -> Vec<String> {
        let columns = self.columns.iter();
        columns.map(|column| naming(&column.heading)).collect()
    }

    /// The texts of all rows, made harmless, and rounded for people: alike from row to row of a column.
    pub fn texts(&self, naming: Naming) -> Vec<Vec<String>> {
        let places = 0..self.columns.len();
        let alike: Vec<Alike> = places.map(|place| self.alike(place)).collect();
        let text_of = |row: &Vec<&Cell>| {
            let cells = row.iter().zip(&alike);
            cells
                .map(|(cell, alike)| naming(&text(cell, alike)))
                .collect()
        };
        self.rows.iter().map(text_of).collect()
    }

    /// The decimals of the figures of a column, one entry for each unit in it.
    fn alike(&self, place: usize) -> Alike<'_> {
        let mut groups: BTreeMap<Kind, Vec<f64>> = BTreeMap::new();
        for row in &self.rows {
            if let Some(Cell::Figure(figure)) = row.get(place) {
                let sizes = groups.entry(figure.kind()).or_default();
                sizes.extend(figure.sizes());
            }
        }
        let decimals = groups.into_iter().map(|(kind, sizes)| {
            let decimals = match kind.has_width {
                true => decimals_of_uncertainties(&sizes),
                false => decimals_of_column(&sizes),
            };
            (kind, decimals)
        });
        decimals.collect()
    }
}

/// The decimals that figures of one kind share.
type Alike<'a> = BTreeMap<Kind<'a>, Option<usize>>;

/// Figures of one column that can be compared.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Kind<'a> {
    unit: &'a str,
    has_width: bool,
}

impl Figure {
    fn shown(&self, value: f64) -> f64 {
        value * self.times
    }

    /// Half the width of its interval as people see it, where that decides the digits.
    fn half_width(&self) -> Option<f64> {
        match self.value {
            Value::Number { .. } => None,
            Value::WithError { half_width, .. } => half_width.map(|half| self.shown(half)),
            Value::HalfWidth(half) => Some(self.shown(half)),
            Value::Between { ends, .. } => Some(self.shown(ends.high - ends.low) / 2.0),
            Value::Range { ends, digits } => {
                (digits == Digits::OfWidth).then(|| self.shown(ends.high - ends.low) / 2.0)
            }
        }
    }

    fn kind(&self) -> Kind<'_> {
        Kind {
            unit: &self.unit,
            has_width: self.half_width().is_some(),
        }
    }

    /// What decides the digits of its column: its width, or its own size where it has none.
    fn sizes(&self) -> Vec<f64> {
        let is_free = |digits: Digits| digits == Digits::Significant;
        match (self.half_width(), &self.value) {
            (Some(half), _) => vec![half],
            (_, Value::Number { value, digits }) if is_free(*digits) => vec![self.shown(*value)],
            (_, Value::Range { ends, digits }) if is_free(*digits) => {
                vec![self.shown(ends.low), self.shown(ends.high)]
            }
            _ => Vec::new(),
        }
    }
}

impl fmt::Display for Cell {
    /// The cell by itself, in a sentence.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&text(self, &Alike::new()))
    }
}

fn text(cell: &Cell, alike: &Alike<'_>) -> String {
    match cell {
        Cell::Missing { reason } if reason.is_empty() => DASH.into(),
        Cell::Missing { reason: text } | Cell::Text(text) | Cell::Link { text, .. } => text.clone(),
        Cell::Count(number) => number.to_string(),
        Cell::Chance(chance) => probability(*chance),
        Cell::Figure(figure) => {
            let alike = alike.get(&figure.kind()).copied().flatten();
            of_figure(figure, alike)
        }
    }
}

fn of_figure(figure: &Figure, alike: Option<usize>) -> String {
    let shown = |value: f64| figure.shown(value);
    let rounded = |value: f64, digits: Digits| match (digits, alike) {
        (Digits::Decimals(decimals), _) | (_, Some(decimals)) => fixed(shown(value), decimals),
        (Digits::Significant | Digits::OfWidth, None) => significant(shown(value)),
    };
    let of_width = |half: f64| alike.unwrap_or_else(|| decimals_for(shown(half)));
    let mut behind = String::new();
    let text = match figure.value {
        Value::Number { value, digits } => rounded(value, digits),
        Value::WithError { value, half_width } => match half_width {
            Some(half) => plus_minus_to(shown(value), shown(half), of_width(half)),
            None => {
                behind = " (± not known)".into();
                fixed(shown(value), DECIMALS_WITHOUT_WIDTH)
            }
        },
        Value::HalfWidth(half) => format!("± {}", fixed(shown(half), of_width(half))),
        Value::Between { value, ends, note } => {
            let digits = Digits::Decimals(of_width((ends.high - ends.low) / 2.0));
            let all = [value, ends.low, ends.high];
            let [value, low, high] = all.map(|value| rounded(value, digits));
            behind = format!(" ({low} to {high}{note})");
            value
        }
        Value::Range { ends, digits } => {
            let digits = match digits {
                Digits::OfWidth => Digits::Decimals(of_width((ends.high - ends.low) / 2.0)),
                other => other,
            };
            let [low, high] = [ends.low, ends.high].map(|value| rounded(value, digits));
            format!("{low} to {high}")
        }
    };
    if text == NOT_KNOWN {
        return text;
    }
    let plus = when(
        figure.is_signed && figure.value.alone().is_some_and(|value| value > 0.0),
        "+",
    );
    format!("{plus}{text}{}{behind}", around(" ", &figure.unit, ""))
}
