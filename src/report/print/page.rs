//! A page of Markdown: headings, paragraphs, tables, pictures.
//!
//! In: texts with names as they were logged. Out: Markdown, one paragraph a line, every name harmless.
//! This module never escapes what is called marked: whoever writes Markdown himself takes care of the names in it.

use super::columns_and_cells::Table;
use super::escape::markdown as harmless;
use super::markdown;

/// Most rows of a table of runs on a page.
const MOST_ROWS: usize = 200;

/// One picture.
#[derive(Debug, Clone)]
pub struct Picture {
    /// Name that sections know it by.
    pub name: String,
    /// File name; never holds a name from a log.
    pub file: String,
    /// The question it answers.
    pub question: String,
    /// What is drawn.
    pub caption: String,
    /// The SVG document.
    pub svg: String,
}

/// A Markdown page that grows from top to bottom.
#[derive(Debug, Default)]
pub struct Page<'a> {
    text: String,
    pictures: &'a [Picture],
    headings: Vec<String>,
}

/// The anchor that a heading of Markdown gets: small letters, blanks as hyphens, marks left out.
///
/// # Source
/// Common practice of what shows Markdown, no source.
pub fn anchor(heading: &str) -> String {
    let letters = heading.chars().flat_map(char::to_lowercase);
    let kept = letters.filter(|c| c.is_alphanumeric() || " -_".contains(*c));
    kept.map(|c| if c == ' ' { '-' } else { c }).collect()
}

impl<'a> Page<'a> {
    /// An empty page that can show these pictures.
    pub fn with(pictures: &'a [Picture]) -> Self {
        let (text, headings) = (String::new(), Vec::new());
        Page {
            text,
            pictures,
            headings,
        }
    }

    /// A heading of a level from 1.
    pub fn heading(&mut self, level: usize, text: &str) {
        self.headings.push(text.to_string());
        self.marked(&format!("{} {}", "#".repeat(level), harmless(text)));
    }

    /// A paragraph; nothing for an empty text.
    pub fn paragraph(&mut self, text: &str) {
        self.marked(&harmless(text));
    }

    /// A paragraph that is Markdown; nothing for an empty text.
    pub fn marked(&mut self, text: &str) {
        if !text.is_empty() {
            self.block(&format!("{text}\n"));
        }
    }

    /// A list with a dot before each item; nothing without items.
    pub fn list<T: AsRef<str>>(&mut self, items: impl IntoIterator<Item = T>) {
        self.marked_list(items.into_iter().map(|item| harmless(item.as_ref())));
    }

    /// The same of items that are Markdown.
    pub fn marked_list(&mut self, items: impl IntoIterator<Item = String>) {
        let items: String = items
            .into_iter()
            .map(|item| format!("- {item}\n"))
            .collect();
        if !items.is_empty() {
            self.block(&items);
        }
    }

    /// The picture of that name with its caption below, where it was drawn.
    pub fn show(&mut self, name: &str) {
        if let Some(picture) = self.pictures.iter().find(|picture| picture.name == name) {
            let [question, caption] =
                [&picture.question, &picture.caption].map(|text| harmless(text));
            self.block(&format!(
                "![{question}](charts/{})\n\n*{caption}*\n",
                picture.file
            ));
        }
    }

    /// A table.
    pub fn table(&mut self, table: &Table) {
        self.block(&markdown::table(table));
    }

    /// A table of all runs, of which a long one shows its first and its last rows; the file in `tables/` holds all.
    pub fn long_table(&mut self, table: &Table, file: &str) {
        let count = table.rows.len();
        if count <= MOST_ROWS {
            return self.table(table);
        }
        let (first, last) = (
            &table.rows[..MOST_ROWS / 2],
            &table.rows[count - MOST_ROWS / 2..],
        );
        self.table(&Table {
            question: table.question.clone(),
            columns: table.columns.clone(),
            rows: [first, last].concat(),
        });
        self.marked(&format!(
            "Of {count} rows the first {half} and the last {half} stand here; `tables/{file}.csv` holds all.",
            half = MOST_ROWS / 2
        ));
    }

    /// A table below the question that it answers; nothing without rows.
    pub fn answer(&mut self, table: &Table) {
        if !table.rows.is_empty() {
            self.heading(3, &table.question);
            self.table(table);
        }
    }

    /// An empty page with the same pictures.
    pub fn beside(&self) -> Self {
        Page::with(self.pictures)
    }

    /// Whether nothing stands on it.
    pub fn is_empty(&self) -> bool {
        self.text.is_empty()
    }

    /// All headings so far.
    pub fn headings(&self) -> &[String] {
        &self.headings
    }

    /// Puts another page below.
    pub fn append(&mut self, other: Page) {
        if other.is_empty() {
            return;
        }
        self.block(&other.text);
        self.headings.extend(other.headings);
    }

    /// The finished page.
    pub fn finish(self) -> String {
        self.text
    }

    fn block(&mut self, text: &str) {
        if !self.text.is_empty() {
            self.text.push('\n');
        }
        self.text.push_str(text);
    }
}
