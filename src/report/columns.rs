//! What was understood of the columns of all logs, as a table and as data.
//!
//! In: [`SeenColumn`]s. Out: text for a terminal or a pipe, and what stands under `columns`.
//! This module never reads a cell.

use std::cmp::Reverse;

use serde_json::{Value, json};

use super::print::{Columns, Screen, Table, Width, and_list, around, count};
use crate::intake::{Role, SeenColumn};

/// Levels that are named with how often each stands; more are counted.
const MOST_LEVELS: usize = 4;

/// Letters of a value that are shown.
const LONGEST: usize = 24;

/// One line a column.
pub fn columns(seen: &[SeenColumn], width: Width) -> String {
    let mut screen = Screen::new(width);
    screen.table(&table(seen));
    screen.finish()
}

fn table(seen: &[SeenColumn]) -> Table {
    let mut rows = Columns::of(seen);
    rows.words("log", |column| match column.files.as_slice() {
        [only] => only.clone(),
        files => count(files.len(), "file"),
    });
    rows.words("heading", |column| &column.heading);
    rows.words("means", meaning);
    rows.words("unit", |column| column.unit.clone().unwrap_or_default());
    rows.words("empty", |column| {
        format!("{} of {}", column.empty, column.rows)
    });
    rows.words("holds", holds);
    rows.words("first values", |column| {
        let first: Vec<String> = column.first.iter().map(|text| short(text)).collect();
        first.join(", ")
    });
    rows.answer("What was understood of each column?")
}

/// What a column is used as, in words.
fn meaning(column: &SeenColumn) -> String {
    let roles = column.roles.iter().map(|role| match role {
        Role::Design(name) => name.clone(),
        Role::Factor(name) => format!("factor {name}"),
        Role::Response(name) => format!("response {name}"),
        Role::Priced => "reagent with a price".into(),
        Role::Impurity => "impurity".into(),
        Role::Second => "second element".into(),
        Role::Kept => "kept as it is".into(),
    });
    match column.roles.as_slice() {
        [] => "not used".into(),
        _ => and_list(roles),
    }
}

/// The range of its numbers, or its levels.
fn holds(column: &SeenColumn) -> String {
    let none = match column.no_number {
        0 => String::new(),
        1 => "1 cell holds no number".into(),
        many => format!("{many} cells hold no number"),
    };
    if let Some([low, high]) = column.range {
        return format!("{low} to {high}") + &around("; ", &none, "");
    }
    let mut levels: Vec<(&String, usize)> = column.levels.iter().map(|(of, n)| (of, *n)).collect();
    levels.sort_by_key(|(_, rows)| Reverse(*rows));
    let each = levels.iter().map(|(level, rows)| match rows {
        1 => short(level),
        rows => format!("{} ({rows})", short(level)),
    });
    let each: Vec<String> = each.take(MOST_LEVELS).collect();
    match (levels.len(), each.join(", ")) {
        (0, _) => none,
        (few, each) if few <= MOST_LEVELS => each,
        (many, each) => format!("{many} different: {each}, ..."),
    }
}

/// The beginning of a text that is too long for a cell.
fn short(text: &str) -> String {
    match text.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{}...", &text[..end]),
        None => text.to_string(),
    }
}

/// The same as data, each value whole.
pub fn as_data(seen: &[SeenColumn]) -> Value {
    let columns = seen.iter().map(|column| {
        let levels = column.levels.iter();
        let levels: Vec<Value> = levels
            .map(|(level, rows)| json!({ "level": level, "rows": rows }))
            .collect();
        json!({
            "log": column.log.key(),
            "files": column.files,
            "heading": column.heading,
            "roles": column.roles.iter().map(role).collect::<Value>(),
            "unit": column.unit,
            "rows": column.rows,
            "empty": column.empty,
            "no_number": column.no_number,
            "low": column.range.map(|[low, _]| low),
            "high": column.range.map(|[_, high]| high),
            "levels": levels,
            "first": column.first,
        })
    });
    columns.collect()
}

fn role(role: &Role) -> Value {
    let (kind, name) = match role {
        Role::Design(name) => ("design", Some(name)),
        Role::Factor(name) => ("factor", Some(name)),
        Role::Response(name) => ("response", Some(name)),
        Role::Priced => ("priced", None),
        Role::Impurity => ("impurity", None),
        Role::Second => ("second", None),
        Role::Kept => ("kept", None),
    };
    json!({ "role": kind, "name": name })
}
