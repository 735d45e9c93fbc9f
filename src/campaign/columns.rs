//! Tables `[columns.*]`: the user's own headings.
//!
//! In: one section a log. Out: [`ColumnMapping`]s.
//! This module never looks into a log, so it cannot know whether a heading exists.

use super::basics::LogKind;
use super::section::Section;
use super::source::At;

/// A heading of a log that stands for a column of the design.
#[derive(Debug, Clone)]
pub struct ColumnMapping {
    /// The log it is in.
    pub log: LogKind,
    /// Name of the column, factor or response.
    pub name: String,
    /// The user's heading, with or without its unit part.
    pub heading: String,
    /// Unit of the column, when the heading does not say it.
    pub unit: Option<String>,
    /// What an empty cell means, in the unit of the column; nothing where the file does not say.
    pub empty: Option<f64>,
    /// Line of the campaign file.
    pub line: usize,
}

pub(super) fn columns(section: &Section) -> Vec<ColumnMapping> {
    let of_log =
        |log: LogKind| section.by_name(log.key(), |columns, name| mapping(columns, log, name));
    LogKind::ALL.into_iter().flat_map(of_log).collect()
}

fn mapping(columns: &Section, log: LogKind, name: At<String>) -> Option<ColumnMapping> {
    let key = &name.value;
    let (heading, unit, empty) = if columns.holds_table(key) {
        columns.table(key, |column| {
            let empty = column.number_within("empty");
            let (heading, unit) = (column.plain_text("heading"), column.plain_text("unit"));
            (heading, unit, empty)
        })
    } else {
        (columns.plain_text(key), None, None)
    };
    if heading.is_none() {
        columns.source.fault(
            name.position,
            format!("`{}` names no heading", columns.path(key)),
            "write `{ heading = \"Scale charged\", unit = \"kg\" }` or just the heading in quotes",
        );
    }
    Some(ColumnMapping {
        log,
        heading: heading?,
        unit,
        empty,
        line: columns.source.line(name.position),
        name: name.value,
    })
}
