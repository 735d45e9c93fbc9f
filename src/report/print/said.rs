//! How does a cell read?
//!
//! In: a [`Table`]. Out: the same as raw texts, rounded for people, or with the digits that data holds.
//! This module never makes a name harmless: each printer does for its medium.

use std::collections::BTreeMap;

use super::numbers::{
    committed, decimals_for, decimals_of_column, decimals_of_uncertainties, fixed, plus_minus_to,
    probability, significant,
};
use super::table::{Cell, Column, Digits, Figure, Place, Sign, Table, Value};

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

fn chosen(table: &Table, is_seen: impl Fn(&Column) -> bool) -> Seen<'_> {
    let seen: Vec<usize> = (0..table.columns.len())
        .filter(|&place| is_seen(&table.columns[place]))
        .collect();
    Seen {
        columns: seen.iter().map(|&place| &table.columns[place]).collect(),
        rows: table
            .rows
            .iter()
            .map(|row| seen.iter().filter_map(|&place| row.get(place)).collect())
            .collect(),
    }
}

impl Seen<'_> {
    /// The texts of all rows, rounded for people: alike from row to row of a column.
    pub fn texts(&self) -> Vec<Vec<String>> {
        let alike: Vec<Alike> = (0..self.columns.len())
            .map(|place| self.alike(place))
            .collect();
        let text_of = |row: &Vec<&Cell>| {
            let cells = row.iter().zip(&alike);
            cells.map(|(cell, alike)| text(cell, alike)).collect()
        };
        self.rows.iter().map(text_of).collect()
    }

    /// The decimals of the figures of a column, one entry for each unit in it.
    fn alike(&self, place: usize) -> Alike<'_> {
        let mut groups: BTreeMap<Kind, Vec<f64>> = BTreeMap::new();
        for row in &self.rows {
            if let Some(Cell::Figure(figure)) = row.get(place) {
                groups
                    .entry(figure.kind())
                    .or_default()
                    .extend(figure.sizes());
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
            Value::Between { low, high, .. } => Some(self.shown(high - low) / 2.0),
            Value::Range { low, high, digits } => {
                (digits == Digits::OfWidth).then(|| self.shown(high - low) / 2.0)
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
        match (self.half_width(), &self.value) {
            (Some(half), _) => vec![half],
            (
                None,
                Value::Number {
                    value,
                    digits: Digits::Significant,
                },
            ) => vec![self.shown(*value)],
            (
                None,
                Value::Range {
                    low,
                    high,
                    digits: Digits::Significant,
                },
            ) => vec![self.shown(*low), self.shown(*high)],
            _ => Vec::new(),
        }
    }
}

/// A cell in data: all digits that committed files carry, nothing where there is no figure.
pub(super) fn in_data(cell: &Cell) -> String {
    match cell {
        Cell::Missing { .. } => String::new(),
        Cell::Text(text) | Cell::Link { text, .. } => text.clone(),
        Cell::Count(number) => number.to_string(),
        Cell::Chance(chance) => committed(*chance),
        Cell::Figure(figure) => match figure.value {
            Value::Number { value, .. }
            | Value::WithError { value, .. }
            | Value::HalfWidth(value)
            | Value::Between { value, .. } => committed(value),
            Value::Range { low, high, .. } => format!("{} to {}", committed(low), committed(high)),
        },
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
    let sign = |value: f64| match figure.sign {
        Sign::PlusAndMinus if value > 0.0 => "+",
        _ => "",
    };
    let rounded = |value: f64, digits: Digits| match (digits, alike) {
        (Digits::Decimals(decimals), _) | (_, Some(decimals)) => fixed(shown(value), decimals),
        (Digits::Significant | Digits::OfWidth, None) => significant(shown(value)),
    };
    let gap = if figure.unit.is_empty() { "" } else { " " };
    let unit = format!("{gap}{}", figure.unit);
    let of_width = |half: f64| alike.unwrap_or_else(|| decimals_for(shown(half)));
    match figure.value {
        Value::Number { value, digits } => {
            format!("{}{}{unit}", sign(value), rounded(value, digits))
        }
        Value::WithError {
            value,
            half_width: Some(half),
        } => {
            let text = plus_minus_to(shown(value), shown(half), of_width(half));
            format!("{}{text}{unit}", sign(value))
        }
        Value::WithError {
            value,
            half_width: None,
        } => {
            let value_alone = fixed(shown(value), DECIMALS_WITHOUT_WIDTH);
            format!("{}{value_alone}{unit} (± not known)", sign(value))
        }
        Value::HalfWidth(half) => format!("± {}{unit}", fixed(shown(half), of_width(half))),
        Value::Between {
            value,
            low,
            high,
            note,
        } => {
            let digits = Digits::Decimals(of_width((high - low) / 2.0));
            let [value, low, high] = [value, low, high].map(|value| rounded(value, digits));
            format!("{value}{unit} ({low} to {high}{note})")
        }
        Value::Range { low, high, digits } => {
            let digits = match digits {
                Digits::OfWidth => Digits::Decimals(of_width((high - low) / 2.0)),
                other => other,
            };
            let [low, high] = [low, high].map(|value| rounded(value, digits));
            format!("{low} to {high}{unit}")
        }
    }
}
