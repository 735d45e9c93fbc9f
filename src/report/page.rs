//! How a page is put together: headings, tables, pictures.
//!
//! In: texts that are already harmless. Out: Markdown, one paragraph a line.
//! This module never escapes: whoever takes a name from a log does.

/// A Markdown page that grows from top to bottom.
#[derive(Debug, Default)]
pub(super) struct Page {
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

    /// A table; columns whose heading starts with `>` are set to the right.
    pub fn table(&mut self, headings: &[&str], rows: &[Vec<String>]) {
        self.gap();
        let bare: Vec<&str> = headings.iter().map(|h| h.trim_start_matches('>')).collect();
        self.text.push_str(&format!("| {} |\n", bare.join(" | ")));
        let rules: Vec<&str> = headings
            .iter()
            .map(|h| if h.starts_with('>') { "---:" } else { "---" })
            .collect();
        self.text.push_str(&format!("| {} |\n", rules.join(" | ")));
        for row in rows {
            self.text.push_str(&format!("| {} |\n", row.join(" | ")));
        }
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
