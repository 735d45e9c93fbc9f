//! The routes compared for a terminal or a pipe.
//!
//! In: the answer to question 4. Out: plain text: a sentence of verdict, then tables.
//! This module never prints: the program does.

use super::{table, words};
use crate::decide::Routes;
use crate::report::beside::missing_lines;
use crate::report::print::{Width, capital, one_line, terminal, wrapped};

/// The routes compared.
pub fn routes(routes: &Routes, width: Width) -> String {
    let verdict = capital(&words::verdict(routes, one_line));
    let mut text = wrapped(&format!("{verdict}\n\n"), width);
    text.push_str(&terminal::table(&table::given(routes), width));
    let chances = table::chances(routes);
    if !chances.rows.is_empty() {
        text.push('\n');
        text.push_str(&terminal::table(&chances, width));
    }
    text + &missing_lines(&routes.best.gaps, width)
}
