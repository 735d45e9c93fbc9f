//! Tables and sentences on a terminal, or in a pipe.
//!
//! In: a [`Table`] or a text, and how wide a line may be. Out: plain text, readable without colour.
//! This module never splits a word: a word longer than a line sticks out.

use super::cell_text::for_people;
use super::columns_and_cells::{Place, Role, Table};
use super::escape::one_line;

/// How wide a line may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Width {
    /// A pipe or a file: nothing is ever narrowed.
    Unbounded,
    /// A terminal of so many columns.
    Columns(usize),
}

/// Blanks between two columns, and between a heading and its value.
const GAP: usize = 2;

/// A value beside its heading needs this many columns, or stands in a line that goes on below.
const LEAST_FOR_A_VALUE: usize = 16;

/// What a call shows, from top to bottom.
pub struct Screen {
    text: String,
    width: Width,
}

impl Screen {
    /// An empty screen of that width.
    pub fn new(width: Width) -> Self {
        let text = String::new();
        Screen { text, width }
    }

    /// A text, its names made harmless, on a line that goes on below where it is too long; nothing for an empty text.
    pub fn line(&mut self, text: &str) {
        if text.is_empty() {
            return;
        }
        let line = one_line(text) + "\n";
        self.text.push_str(&wrapped(&line, self.width));
    }

    /// An empty line before all but the first paragraph.
    pub fn paragraph(&mut self) {
        if !self.text.is_empty() {
            self.gap();
        }
    }

    /// An empty line.
    pub fn gap(&mut self) {
        self.text.push('\n');
    }

    /// A table.
    pub fn table(&mut self, table: &Table) {
        self.text.push_str(&in_lines(table, self.width));
    }

    /// All that is shown.
    pub fn finish(self) -> String {
        self.text
    }
}

/// The table in columns; where these are wider than a line, one block a row with one line a column.
pub(super) fn in_lines(table: &Table, width: Width) -> String {
    let seen = for_people(table, Place::Terminal);
    let (headings, rows) = (seen.headings(one_line), seen.texts(one_line));
    let roles: Vec<Role> = seen.columns.iter().map(|column| column.role).collect();
    let wide = in_columns(&headings, &roles, &rows);
    match width {
        Width::Columns(most) if wide.lines().any(|line| length(line) > most) => {
            in_blocks(&headings, &rows, most)
        }
        _ => wide,
    }
}

/// A text of lines, each wrapped at blanks so that it fits; what goes on below is set in by two.
pub fn wrapped(text: &str, width: Width) -> String {
    let Width::Columns(most) = width else {
        return text.to_string();
    };
    let mut out = String::with_capacity(text.len());
    for line in text.split_inclusive('\n') {
        let bare = line.trim_end_matches('\n');
        if length(bare) <= most {
            out.push_str(line);
            continue;
        }
        let words = bare.trim_start_matches(' ');
        let blanks = bare.len() - words.len();
        out.push_str(&filled(&" ".repeat(blanks), words, blanks + GAP, most));
        if line.ends_with('\n') {
            out.push('\n');
        }
    }
    out
}

fn in_columns(headings: &[String], roles: &[Role], rows: &[Vec<String>]) -> String {
    let places = headings.iter().enumerate();
    let widths = places.map(|(place, heading)| {
        let cells = rows.iter().map(|row| length(&row[place]));
        cells.fold(length(heading), usize::max)
    });
    let widths: Vec<usize> = widths.collect();
    let mut text = String::new();
    for row in std::iter::once(headings).chain(rows.iter().map(Vec::as_slice)) {
        let cells = row.iter().zip(roles).zip(&widths);
        let cells: Vec<String> = cells
            .map(|((cell, role), width)| {
                let blank = " ".repeat(width - length(cell));
                match role {
                    Role::Words => format!("{cell}{blank}"),
                    Role::Figures => format!("{blank}{cell}"),
                }
            })
            .collect();
        text.push_str(cells.join(&" ".repeat(GAP)).trim_end());
        text.push('\n');
    }
    text
}

fn in_blocks(headings: &[String], rows: &[Vec<String>], most: usize) -> String {
    let longest = headings.iter().map(|heading| length(heading)).max();
    let values_at = longest.unwrap_or(0) + GAP;
    let blocks = rows.iter().map(|row| {
        let told = headings
            .iter()
            .zip(row)
            .filter(|(_, cell)| !cell.is_empty());
        told.map(|(heading, cell)| {
            let line = if values_at + LEAST_FOR_A_VALUE <= most {
                let blank = " ".repeat(values_at - length(heading));
                filled(&format!("{heading}{blank}"), cell, values_at, most)
            } else if length(heading) + GAP <= most {
                filled(&format!("{heading}  "), cell, GAP, most)
            } else {
                let heading = filled("", heading, GAP, most);
                format!("{heading}\n{}", filled("  ", cell, GAP, most))
            };
            line + "\n"
        })
        .collect::<String>()
    });
    blocks.collect::<Vec<String>>().join("\n")
}

/// The words behind what the first line begins with; further lines are set in, less where a word needs the room.
fn filled(first: &str, words: &str, set_in: usize, most: usize) -> String {
    let mut lines: Vec<String> = Vec::new();
    let mut line = first.to_string();
    for word in words.split(' ').filter(|word| !word.is_empty()) {
        let room = most.saturating_sub(length(word));
        let gap = usize::from(!line.is_empty() && !line.ends_with(' '));
        if length(&line) + gap > room {
            let is_blank = line.trim().is_empty();
            let blanks = if is_blank { length(&line) } else { set_in };
            if !is_blank {
                lines.push(line.trim_end().to_string());
            }
            line = " ".repeat(blanks.min(room));
        } else {
            line.push_str(&" ".repeat(gap));
        }
        line.push_str(word);
    }
    lines.push(line);
    lines.join("\n")
}

fn length(text: &str) -> usize {
    text.chars().count()
}
