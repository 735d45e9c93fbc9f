//! Routes and best settings for a terminal or a pipe.
//!
//! In: answers to questions 4 and 6. Out: plain text: a sentence of verdict, then tables.
//! This module never prints: the program does.

use super::aim_words::missing;
use super::plain::{columns, one_line};
use super::route_tables::{Cells, chances, given};
use super::route_words;
use super::settings_words;
use super::words::capital;
use crate::decide::{BestSettings, Gap, Routes};

/// The routes compared.
pub fn routes(routes: &Routes) -> String {
    let mut text = format!("{}\n\n", capital(&route_words::verdict(routes, one_line)));
    text.push_str(&table(&given(routes, one_line)));
    let chances = chances(routes, one_line);
    if !chances.rows.is_empty() {
        text.push('\n');
        text.push_str(&table(&chances));
    }
    text.push_str(&gaps(&routes.best.gaps));
    text
}

/// The best settings, or what is missing for them.
pub fn settings(found: &Result<BestSettings, Vec<Gap>>) -> String {
    let best = match found {
        Ok(best) => best,
        Err(missing) => return format!("No settings can be recommended.\n{}", gaps(missing)),
    };
    let mut text = String::new();
    for sentence in settings_words::sentences(best, one_line) {
        text.push_str(&capital(&sentence));
        text.push('\n');
    }
    text.push('\n');
    let rows: Vec<Vec<String>> = std::iter::once(vec!["factor".to_string(), "setting".to_string()])
        .chain(settings_words::rows(best, one_line))
        .collect();
    text.push_str(&columns(&rows));
    text.push_str(&gaps(&best.gaps));
    text
}

fn table(cells: &Cells) -> String {
    let headings = cells.headings.iter();
    let headings = headings.map(|heading| heading.trim_start_matches('>').to_string());
    let mut rows = vec![headings.collect::<Vec<String>>()];
    rows.extend(cells.rows.iter().cloned());
    columns(&rows)
}

fn gaps(gaps: &[Gap]) -> String {
    let lines = missing(gaps, one_line);
    if lines.is_empty() {
        return String::new();
    }
    let lines: String = lines.iter().map(|line| format!("  {line}\n")).collect();
    format!("\nmissing:\n{lines}")
}
