//! A campaign as files that can be mistyped, one entry at a time.
//!
//! In: a campaign in memory or a folder, and an edit of the table of slips. Out: [`Files`].
//! This module never judges an edit; it panics where the table names what is not there.

use std::path::Path;

use residuum::campaign::{FileText, LogKind};
use residuum::intake::LogFile;

use super::table::{Edit, To};
use crate::in_memory::InMemory;

/// A campaign file and its logs.
#[derive(Debug, Clone)]
pub struct Files {
    pub campaign: String,
    pub logs: Vec<LogFile>,
}

/// What an edit touched: the file, and the line in it, where there is one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Touched {
    pub file: String,
    pub line: Option<usize>,
}

impl Files {
    /// The files of a campaign in memory.
    pub fn of(campaign: InMemory) -> Self {
        let (campaign, logs) = campaign.into_files();
        Self { campaign, logs }
    }

    /// The files of a folder, its furnace readings among them.
    pub fn of_folder(folder: &Path) -> Self {
        let mut files = Self::of(InMemory::of_folder(folder));
        if let Ok(bytes) = std::fs::read(folder.join("charges.csv")) {
            files.logs.push(LogFile {
                kind: LogKind::Runs,
                file: "charges.csv".into(),
                part: None,
                bytes,
            });
        }
        let furnace = std::fs::read_dir(folder.join("furnace"));
        let mut readings: Vec<_> = furnace.into_iter().flatten().flatten().collect();
        readings.sort_by_key(std::fs::DirEntry::file_name);
        for reading in readings {
            files.logs.push(LogFile {
                kind: LogKind::Readings,
                file: format!("furnace/{}", reading.file_name().to_string_lossy()),
                part: None,
                bytes: std::fs::read(reading.path()).expect("readings can be read"),
            });
        }
        files
    }

    /// The campaign file with its name.
    pub fn campaign_file(&self) -> FileText {
        FileText {
            file: "campaign.toml".into(),
            text: self.campaign.clone(),
        }
    }

    /// The files with one edit, and where it is.
    pub fn edited(&mut self, edit: &Edit) -> Touched {
        if edit.file == "campaign.toml" {
            let line = self.edit_key(edit);
            return Touched {
                file: edit.file.clone(),
                line,
            };
        }
        let mut logs = self.logs.iter_mut();
        let log = logs.find(|log| log.file == edit.file);
        let log = log.unwrap_or_else(|| panic!("no log `{}`", edit.file));
        let text = String::from_utf8(std::mem::take(&mut log.bytes)).expect("logs are text");
        let mut table = Table::read(&text);
        let line = table.edit(edit);
        log.bytes = table.text().into_bytes();
        Touched {
            file: edit.file.clone(),
            line,
        }
    }

    /// Puts another value under a key, or a key into its table; `row` names the table and `column` the key.
    fn edit_key(&mut self, edit: &Edit) -> Option<usize> {
        let mut lines: Vec<String> = self.campaign.lines().map(str::to_string).collect();
        let heading = format!("[{}]", edit.row);
        let start = lines
            .iter()
            .position(|line| line.trim_start().starts_with(&heading));
        let start = start.unwrap_or_else(|| {
            lines.push(heading);
            lines.len() - 1
        });
        let rest = lines[start + 1..].iter();
        let length = rest.take_while(|line| !line.starts_with('[')).count();
        let own = start + 1..start + 1 + length;
        let of_key = |line: &str| line.split('=').next().map(str::trim) == Some(&edit.column);
        let at = own.clone().find(|at| of_key(&lines[*at]));
        let line = match (&edit.to, at) {
            (To::Gone, Some(at)) => {
                lines.remove(at);
                None
            }
            (To::Is(value), Some(at)) => {
                lines[at] = format!("{} = {value}", edit.column);
                Some(at + 1)
            }
            (To::Is(value), None) => {
                lines.insert(start + 1, format!("{} = {value}", edit.column));
                Some(start + 2)
            }
            _ => panic!("a key takes a value or goes: {edit:?}"),
        };
        self.campaign = lines.join("\n") + "\n";
        line
    }
}

/// A log, cell by cell.
struct Table {
    mark: bool,
    separator: char,
    line_end: &'static str,
    rows: Vec<Vec<String>>,
}

impl Table {
    fn read(text: &str) -> Self {
        let (mark, text) = match text.strip_prefix('\u{feff}') {
            Some(text) => (true, text),
            None => (false, text),
        };
        let first = text.lines().next().unwrap_or_default();
        let separator = if first.contains(';') { ';' } else { ',' };
        let cells = |line: &str| line.split(separator).map(str::to_string).collect();
        Self {
            mark,
            separator,
            line_end: if text.contains("\r\n") { "\r\n" } else { "\n" },
            rows: text.lines().map(cells).collect(),
        }
    }

    fn text(&self) -> String {
        let mark = if self.mark { "\u{feff}" } else { "" };
        let separator = self.separator.to_string();
        let lines = self
            .rows
            .iter()
            .map(|row| row.join(&separator) + self.line_end);
        mark.to_string() + &lines.collect::<String>()
    }

    fn column(&self, name: &str) -> usize {
        let found = self.rows[0].iter().position(|heading| heading == name);
        found.unwrap_or_else(|| panic!("no column `{name}` in {:?}", self.rows[0]))
    }

    /// The row of a key such as `B-023`, `B-004/2` with the crop, `B-004/2/1` or `T1/3` with the place among its like.
    fn row(&self, key: &str) -> usize {
        let crop = self.rows[0].iter().position(|heading| heading == "crop");
        let mut parts = key.split('/');
        let name = parts.next().unwrap_or_default();
        let own = |row: &&usize| name.is_empty() || self.rows[**row][0] == name;
        let all: Vec<usize> = (1..self.rows.len()).collect();
        let mut of_key: Vec<usize> = all.iter().filter(own).copied().collect();
        if let (Some(column), Some(crop)) = (crop, parts.next()) {
            of_key.retain(|row| self.rows[*row][column] == crop);
        } else if let Some(place) = key.split('/').nth(1) {
            let place: usize = place.parse().expect("a place is a number");
            of_key = vec![of_key[place - 1]];
        }
        let place = parts
            .next()
            .map_or(1, |place| place.parse().expect("a place is a number"));
        *of_key
            .get(place - 1)
            .unwrap_or_else(|| panic!("no row `{key}`"))
    }

    /// Makes the edit; the line that it touched, where it is one.
    fn edit(&mut self, edit: &Edit) -> Option<usize> {
        match (edit.row.as_str(), &edit.to) {
            ("heading", To::Is(heading)) => {
                let column = self.column(&edit.column);
                self.rows[0][column] = heading.clone();
                return Some(1);
            }
            ("new", To::Is(text)) => {
                let cells = text.split(self.separator).map(str::to_string);
                self.rows.push(cells.collect());
                return Some(self.rows.len());
            }
            ("*", _) => {
                let column = self.column(&edit.column);
                for row in 1..self.rows.len() {
                    self.change(row, column, &edit.to);
                }
                return None;
            }
            _ => {}
        }
        let row = self.row(&edit.row);
        match edit.to {
            To::Gone => {
                self.rows.remove(row);
                return None;
            }
            To::Twice => self.rows.insert(row, self.rows[row].clone()),
            _ => {
                let column = self.column(&edit.column);
                self.change(row, column, &edit.to);
            }
        }
        Some(row + 1)
    }

    fn change(&mut self, row: usize, column: usize, to: &To) {
        if matches!(to, To::Below) {
            let below = self.rows[row + 1][column].clone();
            self.rows[row + 1][column] = std::mem::replace(&mut self.rows[row][column], below);
            return;
        }
        let cell = &mut self.rows[row][column];
        let comma = self.separator == ';';
        let number = |cell: &str| cell.replace(',', ".").parse::<f64>().ok();
        let changed = match (to, number(cell)) {
            (To::Is(text), _) => text.clone(),
            (To::Times(by), Some(value)) => in_digits(value * by),
            (To::Plus(by), Some(value)) => in_digits(value + by),
            // An empty cell of a column stays empty.
            _ if cell.is_empty() => return,
            _ => panic!("`{cell}` cannot be changed by {to:?}"),
        };
        let is_number = matches!(to, To::Times(_) | To::Plus(_));
        *cell = match comma && is_number {
            true => changed.replace('.', ","),
            false => changed,
        };
    }
}

/// A number as it would be typed, without what binary fractions add.
fn in_digits(value: f64) -> String {
    let text = format!("{value:.8}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
