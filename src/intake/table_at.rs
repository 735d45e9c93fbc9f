//! The tables of a file, and which of them a part of its name means.
//!
//! In: titles and lines of tables. Out: the position of one.
//! This module never opens a file.

use crate::error::{Error, ErrorKind};

/// A table of a file.
pub(super) struct TableAt {
    pub title: Option<String>,
    /// Line of its headings.
    pub line: usize,
}

/// Position of the table that a part names: by its number, its title or the line of its headings.
pub(super) fn chosen(file: &str, tables: &[TableAt], part: &str) -> Result<usize, Error> {
    let line = part.strip_prefix("line ");
    let line = line.and_then(|line| line.trim().parse::<usize>().ok());
    let number = part.trim().parse::<usize>().ok();
    let title = part.trim().to_lowercase();
    let found = tables.iter().enumerate().position(|(position, table)| {
        let own = table.title.as_deref().map(|own| own.trim().to_lowercase());
        number == Some(position + 1) || line == Some(table.line) || own.as_ref() == Some(&title)
    });
    found.ok_or_else(|| {
        let named = tables.iter().enumerate().map(|(position, table)| {
            let title = table.title.as_deref();
            let title = title.map_or(String::new(), |title| format!(" `{title}`"));
            format!("{}{title} on line {}", position + 1, table.line)
        });
        let named: Vec<String> = named.collect();
        let hint = format!("its tables: {}", named.join(", "));
        let what = format!("`{file}` has no table `{part}`");
        let fault = Error::new(ErrorKind::UnknownName, what);
        fault.in_file(file).hint(hint)
    })
}
