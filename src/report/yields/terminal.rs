//! What the runs gave, and what was left out, for a terminal or a pipe.
//!
//! In: runs and faults. Out: plain text in columns, readable without colour.
//! This module never prints: the program does.

use super::table;
use crate::error::Error;
use crate::intake::LeftOut;
use crate::report::causes;
use crate::report::print::{Screen, Width, around, one_line, percent};
use crate::runs::Runs;

/// One line a run: yields, purity and closure in %, each with half the width of its interval.
pub fn yields(runs: &Runs, confidence: f64, width: Width) -> String {
    let mut screen = Screen::new(width);
    screen.table(&table::yields(runs, confidence, &runs.results));
    screen.line(&format!(
        "± is half the width of a {} interval",
        percent(confidence, 0)
    ));
    screen.finish()
}

/// Rows left out, one line for those of one cause.
pub fn left_out(entries: &[LeftOut]) -> String {
    let causes = causes::of_left_out(entries).into_iter();
    causes
        .map(|cause| {
            let entries = cause.of(entries);
            let faults: Vec<&Error> = entries.iter().map(|entry| &entry.error).collect();
            let hint = causes::hint(&faults).map(one_line).unwrap_or_default();
            let hint = around("  hint: ", &hint, "\n");
            format!("{}\n{hint}", one_line(&causes::left_out(&entries)))
        })
        .collect()
}
