//! Lines of a drafted campaign file: mappings of headings, keys and texts as TOML writes them.
//!
//! In: columns of a table. Out: their lines.
//! This module never decides what a column is.

use crate::campaign::LogKind;
use crate::intake::outline::{ColumnOutline, TableOutline, Values};

/// One `[columns]` table; headings that are names of the design already need no line.
pub(super) fn mappings<'t>(
    log: LogKind,
    table: &'t TableOutline,
    meaning: impl Fn(&'t ColumnOutline) -> Option<&'t str>,
) -> String {
    let lines = table.columns.iter().filter_map(|column| {
        let name = meaning(column)?;
        if name == column.bare {
            return None;
        }
        let unit = column.unit.as_deref();
        let heading = quoted(&column.heading);
        let why = match (&column.values, unit) {
            _ if name == "residue_mass" => {
                format!(" # where an empty cell means none: {{ heading = {heading}, empty = 0 }}")
            }
            (Values::Empty, _) => " # nothing stands below it".into(),
            (Values::Numbers { others, .. }, _) if *others > 0 => {
                format!(
                    " # {} no number",
                    match others {
                        1 => "1 cell holds".into(),
                        n => format!("{n} cells hold"),
                    }
                )
            }
            _ => String::new(),
        };
        Some(format!("{name} = {heading}{why}\n"))
    });
    let lines: String = lines.collect();
    if lines.is_empty() {
        return lines;
    }
    format!(
        "[columns.{}] # by the words of the headings and their units\n{lines}\n",
        log.key()
    )
}

pub(super) fn is_called(column: &ColumnOutline, words: &[&str]) -> bool {
    let heading = column.bare.to_lowercase();
    words.iter().any(|word| heading.contains(word))
}

/// A heading as a key.
pub(super) fn slug(heading: &str) -> String {
    let lower = heading.to_lowercase();
    let parts = lower.split(|sign: char| !sign.is_ascii_alphanumeric());
    let parts: Vec<&str> = parts.filter(|part| !part.is_empty()).collect();
    match parts.is_empty() {
        true => "factor".into(),
        false => parts.join("_"),
    }
}

/// A text as TOML writes it (TOML 1.0, "String").
pub(super) fn quoted(text: &str) -> String {
    let mut out = String::from('"');
    for sign in text.chars() {
        match sign {
            '"' | '\\' => out.extend(['\\', sign]),
            sign if sign.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(sign))),
            sign => out.push(sign),
        }
    }
    out.push('"');
    out
}
