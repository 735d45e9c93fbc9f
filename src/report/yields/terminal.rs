//! What the runs gave, and what was left out, for a terminal or a pipe.
//!
//! In: runs and faults. Out: plain text in columns, readable without colour.
//! This module never prints: the program does.

use super::table;
use crate::intake::LeftOut;
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

/// Rows left out, one line each.
pub fn left_out(entries: &[LeftOut]) -> String {
    let line = |entry: &LeftOut| {
        let run = around(" run `", entry.run.as_deref().unwrap_or_default(), "`");
        let hint = entry.error.advice().map(one_line).unwrap_or_default();
        let hint = around("  hint: ", &hint, "\n");
        let said = format!("left out:{run} {}", entry.error.message());
        format!("{}\n{hint}", one_line(&said))
    };
    entries.iter().map(line).collect()
}
