//! The section of question 8: whether the process is drifting.
//!
//! In: the control charts of an analysis. Out: the section.
//! This module never decides what is flagged.

use super::table;
use super::words::{headline, name_of, picture_name};
use crate::pipeline::Analysis;
use crate::report::doubts_and_gaps::doubts;
use crate::report::print::{Page, capital};

/// Writes what is flagged, with the charts that flag it.
pub fn write(page: &mut Page, analysis: &Analysis) {
    let drift = &analysis.drift;
    if drift.series.is_empty() {
        return;
    }
    page.paragraph(&headline(drift));
    for series in &drift.series {
        let signals = table::signals(series);
        if signals.rows.is_empty() {
            continue;
        }
        page.heading(
            3,
            &format!("{}: {}", capital(&name_of(series)), signals.question),
        );
        for chart in series
            .charts
            .iter()
            .filter(|chart| !chart.signals.is_empty())
        {
            page.show(&picture_name(series, chart.kind));
        }
        page.table(&signals);
    }
    page.paragraph("Responses are charted without the effects of the declared factors: each run as if it had been made at the reference mix. What a lot gives is never taken out, so that a bad lot shows. A candidate cause is the change in the log nearest to where a departure began; it need not be the cause.");
    doubts(page, "8", &drift.caveats);
}
