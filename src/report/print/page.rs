//! How a page is put together: headings, tables, pictures.
//!
//! In: texts that are already harmless. Out: Markdown, one paragraph a line.
//! This module never escapes a paragraph: whoever takes a name from a log does; the cells of a table come as they are.

use super::markdown;
use super::table::Table;

/// A Markdown page that grows from top to bottom.
#[derive(Debug, Default)]
pub(in crate::report) struct Page {
    text: String,
}

impl Page {
    /// A heading of a level from 1.
    pub fn heading(&mut self, level: usize, text: &str) {
        self.gap();
        self.text.push_str(&"#".repeat(level));
        self.text.push(' ');
        self.text.push_str(text);
        self.text.push('\n');
    }

    /// A paragraph; nothing for an empty text.
    pub fn paragraph(&mut self, text: &str) {
        if text.is_empty() {
            return;
        }
        self.gap();
        self.text.push_str(text);
        self.text.push('\n');
    }

    /// A list with a dot before each item.
    pub fn list(&mut self, items: &[String]) {
        if items.is_empty() {
            return;
        }
        self.gap();
        for item in items {
            self.text.push_str("- ");
            self.text.push_str(item);
            self.text.push('\n');
        }
    }

    /// A picture with its caption below.
    pub fn picture(&mut self, file: &str, question: &str, caption: &str) {
        self.gap();
        self.text
            .push_str(&format!("![{question}](charts/{file})\n\n*{caption}*\n"));
    }

    /// A table.
    pub fn table(&mut self, table: &Table) {
        self.gap();
        self.text.push_str(&markdown::table(table));
    }

    /// The finished page.
    pub fn finish(self) -> String {
        self.text
    }

    fn gap(&mut self) {
        if !self.text.is_empty() {
            self.text.push('\n');
        }
    }
}
