//! Routes and best settings for a terminal or a pipe.
//!
//! In: answers to questions 4 and 6. Out: plain text: a sentence of verdict, then tables.
//! This module never prints: the program does.

use super::aim_words::missing;
use super::plain::one_line;
use super::print::{Width, terminal, wrapped};
use super::route_tables;
use super::route_words;
use super::settings_words;
use super::words::capital;
use crate::decide::{BestSettings, Gap, Routes};

/// The routes compared.
pub fn routes(routes: &Routes, width: Width) -> String {
    let verdict = capital(&route_words::verdict(routes, one_line));
    let mut text = wrapped(&format!("{verdict}\n\n"), width);
    text.push_str(&terminal::table(&route_tables::given(routes), width));
    let chances = route_tables::chances(routes);
    if !chances.rows.is_empty() {
        text.push('\n');
        text.push_str(&terminal::table(&chances, width));
    }
    text + &gaps(&routes.best.gaps, width)
}

/// The best settings, or what is missing for them.
pub fn settings(found: &Result<BestSettings, Vec<Gap>>, width: Width) -> String {
    let best = match found {
        Ok(best) => best,
        Err(missing) => {
            let none = wrapped("No settings can be recommended.\n", width);
            return none + &gaps(missing, width);
        }
    };
    let mut text = String::new();
    for sentence in settings_words::sentences(best, one_line) {
        text.push_str(&wrapped(&format!("{}\n", capital(&sentence)), width));
    }
    text.push('\n');
    text.push_str(&terminal::table(&route_tables::settings(best), width));
    text + &gaps(&best.gaps, width)
}

fn gaps(gaps: &[Gap], width: Width) -> String {
    let lines = missing(gaps, one_line);
    if lines.is_empty() {
        return String::new();
    }
    let lines: String = lines.iter().map(|line| format!("  {line}\n")).collect();
    wrapped(&format!("\nmissing:\n{lines}"), width)
}
