//! What the runs gave, and what was left out, for a terminal or a pipe.
//!
//! In: runs and faults. Out: plain text in columns, readable without colour.
//! This module never prints: the program does.

use super::table;
use crate::intake::LeftOut;
use crate::report::print::{Width, fixed, one_line, terminal, wrapped};
use crate::runs::Runs;

/// One line a run: yields, purity and closure in %, each with half the width of its interval.
pub fn yields(runs: &Runs, confidence: f64, width: Width) -> String {
    let table = table::yields(runs, confidence, runs.results.iter());
    let note = format!(
        "± is half the width of a {} % interval\n",
        fixed(100.0 * confidence, 0)
    );
    terminal::table(&table, width) + &wrapped(&note, width)
}

/// Rows left out, one line each.
pub fn left_out(entries: &[LeftOut]) -> String {
    entries
        .iter()
        .map(|entry| {
            let hint = entry
                .error
                .advice()
                .map_or_else(String::new, |hint| format!("  hint: {}\n", one_line(hint)));
            let run = entry
                .run
                .as_deref()
                .map_or_else(String::new, |run| format!(" run `{}`", one_line(run)));
            format!("left out:{run} {}\n{hint}", one_line(entry.error.message()))
        })
        .collect()
}
