//! A table on a page.
//!
//! In: a [`Table`]. Out: Markdown, names made harmless, figures set to the right.
//! This module never lets a cell break out: what could is written as an entity.

use super::cell_text::for_people;
use super::columns_and_cells::{Cell, Place, Role, Table};
use super::escape::markdown;

/// The whole table, its heading first.
pub(super) fn table(table: &Table) -> String {
    let seen = for_people(table, Place::Page);
    let rules = seen.columns.iter().map(|column| match column.role {
        Role::Words => "---".to_string(),
        Role::Figures => "---:".to_string(),
    });
    let mut text = line(seen.headings(markdown)) + &line(rules.collect());
    for (cells, texts) in seen.rows.iter().zip(seen.texts(markdown)) {
        let cells = cells.iter().zip(texts);
        text += &line(cells.map(|(cell, text)| shown(cell, text)).collect());
    }
    text
}

fn line(cells: Vec<String>) -> String {
    format!("| {} |\n", cells.join(" | "))
}

fn shown(cell: &Cell, text: String) -> String {
    let Cell::Link { target, below, .. } = cell else {
        return text;
    };
    let linked = match target.as_str() {
        "" => text,
        target => format!("[{text}]({target})"),
    };
    match below.as_str() {
        "" => linked,
        below => format!("{linked}<br>{}", markdown(below)),
    }
}
