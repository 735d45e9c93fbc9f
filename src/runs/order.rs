//! In which order the runs were made.
//!
//! In: rows of the runs log. Out: their positions in run order, and a doubt where only some have a date.
//! This module never guesses a date.

use crate::caveat::{About, Caveat};
use crate::intake::RunRow;

/// Runs without a date that are named; more are only counted.
const NAMED: usize = 5;

/// Positions of the rows by date, then by name; in the order of the file where a date is missing.
pub(super) fn run_order(rows: &[RunRow]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..rows.len()).collect();
    if rows.iter().all(|row| row.date.is_some()) {
        order.sort_by(|a, b| {
            let key = |position: &usize| (&rows[*position].date, &rows[*position].run);
            key(a).cmp(&key(b))
        });
    }
    order
}

/// A doubt where some runs have a date and others have none, so that the dates give no order.
pub(super) fn missing_dates(rows: &[RunRow]) -> Option<Caveat> {
    let without: Vec<&str> = rows
        .iter()
        .filter(|row| row.date.is_none())
        .map(|row| row.run.as_str())
        .collect();
    if without.is_empty() || without.len() == rows.len() {
        return None;
    }
    let mut named = without[..without.len().min(NAMED)].join(", ");
    if without.len() > NAMED {
        named.push_str(", ...");
    }
    Some(Caveat {
        kind: "date missing",
        about: About::Campaign,
        seen: format!(
            "{} of {} runs have no date ({named}), so all runs stand in the order of the log instead of their dates",
            without.len(),
            rows.len()
        ),
        advice: "log the date of every run, or of none".into(),
    })
}
