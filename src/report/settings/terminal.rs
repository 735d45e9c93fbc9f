//! The best settings for a terminal or a pipe.
//!
//! In: the answer to question 6. Out: plain text: sentences, then a table.
//! This module never prints: the program does.

use super::words::{sentences, table};
use crate::decide::{BestSettings, Gap};
use crate::report::doubts_and_gaps::gaps_below;
use crate::report::print::{Screen, Width};

/// The best settings, or what is missing for them.
pub fn settings(found: &Result<BestSettings, Vec<Gap>>, width: Width) -> String {
    let mut screen = Screen::new(width);
    let gaps = match found {
        Ok(best) => {
            for sentence in sentences(best, &str::to_string) {
                screen.line(&sentence);
            }
            screen.gap();
            screen.table(&table(best, &str::to_string));
            &best.gaps
        }
        Err(missing) => {
            screen.line("No settings can be recommended.");
            missing
        }
    };
    gaps_below(&mut screen, gaps);
    screen.finish()
}
