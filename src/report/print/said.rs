//! How does a cell read?
//!
//! In: a [`Table`]. Out: the same as raw texts, rounded for people, or with the digits that data holds.
//! This module never makes a name harmless: each printer does for its medium.

use super::table::{Cell, Column, Digits, Figure, Place, Sign, Table, Value};
use crate::report::numbers::{committed, decimals_for, fixed, plain, plus_minus, probability};

/// Stands where there is no figure.
const DASH: &str = "–";

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
    /// The texts of all rows, rounded for people.
    pub fn texts(&self) -> Vec<Vec<String>> {
        self.rows
            .iter()
            .map(|row| row.iter().map(|cell| text(cell)).collect())
            .collect()
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

fn text(cell: &Cell) -> String {
    match cell {
        Cell::Missing { reason } if reason.is_empty() => DASH.into(),
        Cell::Missing { reason: text } | Cell::Text(text) | Cell::Link { text, .. } => text.clone(),
        Cell::Count(number) => number.to_string(),
        Cell::Chance(chance) => probability(*chance),
        Cell::Figure(figure) => of_figure(figure),
    }
}

fn of_figure(figure: &Figure) -> String {
    let shown = |value: f64| value * figure.times;
    let sign = |value: f64| match figure.sign {
        Sign::PlusAndMinus if value > 0.0 => "+",
        _ => "",
    };
    let gap = if figure.unit.is_empty() { "" } else { " " };
    let unit = format!("{gap}{}", figure.unit);
    match figure.value {
        Value::Number { value, digits } => {
            format!("{}{}{unit}", sign(value), rounded(shown(value), digits))
        }
        Value::WithError {
            value,
            half_width: Some(half),
        } => format!(
            "{}{}{unit}",
            sign(value),
            plus_minus(shown(value), shown(half))
        ),
        Value::WithError {
            value,
            half_width: None,
        } => format!(
            "{}{}{unit} (± not known)",
            sign(value),
            fixed(shown(value), 2)
        ),
        Value::HalfWidth(half) => {
            format!("± {}{unit}", fixed(shown(half), decimals_for(shown(half))))
        }
        Value::Between {
            value,
            low,
            high,
            note,
        } => {
            let decimals = decimals_for(shown(high - low) / 2.0);
            let end = |value: f64| fixed(shown(value), decimals);
            format!(
                "{}{}{unit} ({} to {}{note})",
                sign(value),
                end(value),
                end(low),
                end(high)
            )
        }
        Value::Range { low, high, digits } => {
            let digits = match digits {
                Digits::OfWidth => Digits::Decimals(decimals_for(shown(high - low) / 2.0)),
                other => other,
            };
            let end = |value: f64| rounded(shown(value), digits);
            format!("{} to {}{unit}", end(low), end(high))
        }
    }
}

fn rounded(value: f64, digits: Digits) -> String {
    match digits {
        Digits::Decimals(decimals) => fixed(value, decimals),
        Digits::Significant | Digits::OfWidth => plain(value),
    }
}
