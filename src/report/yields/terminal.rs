//! What the runs gave, and what was left out, for a terminal or a pipe.
//!
//! In: runs and faults. Out: plain text in columns, readable without colour.
//! This module never prints: the program does.

use super::{second, table};
use crate::error::Error;
use crate::intake::{LeftOut, Superseded};
use crate::report::causes;
use crate::report::print::{Screen, Width, around, joined, one_line, percent, plain};
use crate::result::Planned;
use crate::runs::{COVERAGE, Runs};
use serde_json::Value;

/// One line a run: yields, purity and closure in %, each with half the width of its interval.
pub fn yields(runs: &Runs, confidence: f64, width: Width) -> String {
    let mut screen = Screen::new(width);
    screen.table(&table::yields(runs, confidence, &runs.results));
    screen.line(&format!(
        "± is half the width of a {} interval",
        percent(confidence, 0)
    ));
    if !runs.second.is_empty() {
        screen.table(&second::table(runs, COVERAGE));
    }
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

/// Lines that a later version supersedes, one line each.
pub fn superseded(lines: &[Superseded]) -> String {
    let line = |line: &Superseded| {
        let revision = around(
            ", revision ",
            line.revision.as_deref().unwrap_or("none"),
            "",
        );
        let (run, place, by) = (&line.run, &line.place, &line.by);
        one_line(&format!(
            "superseded: run `{run}` in {place}{revision}, by {by}"
        )) + "\n"
    };
    lines.iter().map(line).collect()
}

/// Planned runs, one line each, with their settings.
pub fn planned(runs: &[Planned]) -> String {
    let line = |plan: &Planned| {
        let settings = plan.settings.as_object().into_iter().flatten();
        let settings = settings.map(|(name, value)| match value {
            Value::Null => format!("{name} not said"),
            Value::String(level) => format!("{name} {level}"),
            other => format!("{name} {}", other.as_f64().map(plain).unwrap_or_default()),
        });
        let (status, run) = (plan.status, &plan.run);
        let (file, line) = (&plan.file, plan.line);
        let settings = around(": ", &joined(settings, ", "), "");
        one_line(&format!(
            "{status}: run `{run}` in `{file}` line {line}{settings}"
        )) + "\n"
    };
    runs.iter().map(line).collect()
}
