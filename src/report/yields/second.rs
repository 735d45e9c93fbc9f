//! Products of second elements: what each run gave of them, and where the rest went.
//!
//! In: runs. Out: one table for the report, its files and the terminal.
//! This module never computes a yield.

use crate::report::print::{Cell, Columns, Page, Table};
use crate::runs::{Outcome, Runs};

/// What counts in a yield of a second element.
const COUNTED: &str = "Theory counts what the fresh feed and the residue charged hold; the balance counts the product and the residue taken out, so what is not accounted for went with crops and mother liquor of the first element or was lost. ± is k times the standard uncertainty.";

/// The runs of each second element, in the order of the campaign file.
pub fn table(runs: &Runs, factor: f64) -> Table {
    let all = runs.second.iter().flat_map(|of| {
        let places = 0..of.runs.len();
        places.map(move |position| (of, position))
    });
    let cell = |outcome: &Outcome, times: f64| {
        let found = outcome.as_ref().ok()?;
        Some(Cell::with_error(found.value(), factor * found.uncertainty()).times(times))
    };

    let mut rows = Columns::of(all);
    rows.words("element", |(of, _)| &of.element);
    rows.words("run", |(of, position)| &of.runs[position].run);
    rows.figures("product / g", |(of, position)| {
        cell(&of.product(position), 1.0)
    })
    .key("product");
    rows.figures("yield / %", |(of, position)| {
        cell(&of.runs[position].contained, 100.0)
    })
    .key("yield");
    rows.figures("in the residue / %", |(of, position)| {
        cell(&of.runs[position].balance.residue, 100.0)
    })
    .key("in_residue");
    rows.figures("not accounted for / %", |(of, position)| {
        cell(&of.runs[position].balance.unaccounted, 100.0)
    })
    .key("unaccounted");
    rows.answer("What did the runs give of second elements?")
}

/// Writes the table, where a second element is followed.
pub fn write(page: &mut Page, runs: &Runs, factor: f64) {
    if runs.second.is_empty() {
        return;
    }
    let table = table(runs, factor);
    page.heading(3, &table.question);
    page.long_table(&table, "second");
    page.paragraph(COUNTED);
}
