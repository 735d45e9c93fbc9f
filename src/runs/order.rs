//! In which order the runs were made.
//!
//! In: rows of the runs log. Out: their positions in run order, and a doubt where only some have a date.
//! This module never guesses a date.

use crate::caveat::{Caveat, Doubt};
use crate::intake::RunRow;

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
    let without: Vec<String> = rows
        .iter()
        .filter(|row| row.date.is_none())
        .map(|row| row.run.clone())
        .collect();
    let of = rows.len();
    let some = !without.is_empty() && without.len() < of;
    some.then(|| Caveat::of_campaign(Doubt::DateMissing { without, of }))
}
