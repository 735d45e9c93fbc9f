//! The best settings for a terminal or a pipe.
//!
//! In: the answer to question 6. Out: plain text: sentences, then a table.
//! This module never prints: the program does.

use super::words::{sentences, table};
use crate::decide::{BestSettings, Gap};
use crate::report::beside::missing_lines;
use crate::report::print::{Width, capital, one_line, terminal, wrapped};

/// The best settings, or what is missing for them.
pub fn settings(found: &Result<BestSettings, Vec<Gap>>, width: Width) -> String {
    let best = match found {
        Ok(best) => best,
        Err(missing) => {
            let none = wrapped("No settings can be recommended.\n", width);
            return none + &missing_lines(missing, width);
        }
    };
    let mut text = String::new();
    for sentence in sentences(best, one_line) {
        text.push_str(&wrapped(&format!("{}\n", capital(&sentence)), width));
    }
    text.push('\n');
    text.push_str(&terminal::table(&table(best), width));
    text + &missing_lines(&best.gaps, width)
}
