//! The tables of question 8.
//!
//! In: the control charts of an analysis. Out: one [`Table`] a question, for report and CSV.
//! This module never decides what is flagged.

use super::words::{cause, chart_words, departure, flag, flagged_runs, name_of, onset, why};
use crate::drift::{Drifts, Series};
use crate::report::print::{Cell, Column, Table};

pub fn signals(series: &Series) -> Table {
    let columns = vec![
        Column::words("what is out of the ordinary in"),
        Column::words("flagged"),
        Column::words("why"),
        Column::figures("mean departure"),
        Column::words("began about"),
        Column::words("first candidate cause"),
    ];
    let rows = series.signals().map(|(chart, explained)| {
        vec![
            Cell::text(chart_words(chart.kind)),
            Cell::text(flagged_runs(series, explained)),
            Cell::text(why(explained)),
            Cell::text(departure(series, explained)),
            Cell::text(onset(series, explained)),
            Cell::text(cause(explained)),
        ]
    });
    let question = "What departed, since when, and what changed there?";
    Table::new(question, columns).with(rows)
}

/// Every chart, run by run.
pub fn charts(drift: &Drifts) -> Table {
    let keys = [
        "response",
        "unit",
        "chart",
        "run",
        "lot",
        "value",
        "charted",
        "statistic",
        "lower",
        "upper",
        "flag",
    ];
    let mut table = Table::new("What do the charts show?", keys.map(Column::data).into());
    for series in &drift.series {
        for chart in &series.charts {
            let points = series.places.iter().zip(&chart.points);
            table = table.with(points.map(|(place, point)| {
                vec![
                    Cell::text(name_of(series)),
                    Cell::text(&series.unit),
                    Cell::text(chart.kind.name()),
                    Cell::text(&place.name),
                    Cell::named(place.lot.as_deref()),
                    Cell::plain(place.logged),
                    Cell::plain(place.charted),
                    Cell::plain(point.limited.statistic),
                    Cell::plain(point.limited.lower),
                    Cell::plain(point.limited.upper),
                    Cell::named(flag(point).as_deref()),
                ]
            }));
        }
    }
    table
}
