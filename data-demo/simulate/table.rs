//! What does a log look like on disk? A line of headings, then a line for each row.
//!
//! In: cells as text. Out: the text of a file with its path in the campaign folder.
//! This module never quotes: no cell of the demo campaigns holds a separator or a quote.

/// A file of a campaign folder.
pub struct GeneratedFile {
    /// Path below the campaign folder, with `/` between its parts.
    pub path: String,
    /// The whole text.
    pub text: String,
}

impl GeneratedFile {
    /// A file from its path and text.
    pub fn new(path: impl Into<String>, text: impl Into<String>) -> Self {
        Self {
            path: path.into(),
            text: text.into(),
        }
    }
}

/// A table that grows row by row.
pub struct Table {
    separator: char,
    columns: usize,
    text: String,
}

impl Table {
    /// An empty table with its headings.
    pub fn new(separator: char, headings: &[&str]) -> Self {
        let mut table = Self {
            separator,
            columns: headings.len(),
            text: String::new(),
        };
        table.row(
            &headings
                .iter()
                .map(|heading| (*heading).to_string())
                .collect::<Vec<_>>(),
        );
        table
    }

    /// Adds one row; it must have a cell for each heading and no separator inside a cell.
    pub fn row(&mut self, cells: &[String]) {
        assert_eq!(
            cells.len(),
            self.columns,
            "a row has as many cells as headings"
        );
        assert!(
            !cells
                .iter()
                .any(|cell| cell.contains([self.separator, '"', '\n'])),
            "a cell would need quotes: {cells:?}"
        );
        self.text.push_str(&cells.join(&self.separator.to_string()));
        self.text.push('\n');
    }

    /// The table as the text of a file.
    pub fn into_text(self) -> String {
        self.text
    }
}
