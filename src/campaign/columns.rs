//! The tables `[columns.*]`: the user's own headings.
//!
//! In: one section a log. Out: [`ColumnMapping`]s.
//! This module never looks into a log, so it cannot know whether a heading exists.

use super::basics::LogKind;
use super::section::Section;

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
    /// Line of the campaign file.
    pub line: usize,
}

pub(super) fn columns(section: Section) -> Vec<ColumnMapping> {
    let mut mappings = Vec::new();
    for log in LogKind::ALL {
        let columns = section.section(log.key());
        for name in columns.own_names() {
            let line = columns.source.line(name.position);
            let mapping = if columns.holds_table(&name.value) {
                let column = columns.section(&name.value);
                let heading = column.text("heading").map(|text| text.value);
                let unit = column.text("unit").map(|text| text.value);
                column.finish();
                heading.map(|heading| (heading, unit))
            } else {
                columns.text(&name.value).map(|text| (text.value, None))
            };
            match mapping {
                Some((heading, unit)) => mappings.push(ColumnMapping {
                    log,
                    name: name.value,
                    heading,
                    unit,
                    line,
                }),
                None => columns.source.fault(
                    name.position,
                    format!("`{}` names no heading", columns.path(&name.value)),
                    "write `{ heading = \"Scale charged\", unit = \"kg\" }` or just the heading in quotes",
                ),
            }
        }
        columns.finish();
    }
    section.finish();
    mappings
}
