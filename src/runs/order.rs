//! In which order the runs were made.
//!
//! In: rows of the runs log. Out: their positions in run order.
//! This module never guesses a date.

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
