//! The tables of question 8.
//!
//! In: the control charts of an analysis. Out: one [`Table`] a question, for report and CSV.
//! This module never decides what is flagged.

use super::words::{cause, chart_words, departure, flag, flagged_runs, name_of, onset, why};
use crate::drift::{Drifts, Series};
use crate::report::print::{Columns, Table};

/// What is flagged in the charts of a series.
pub fn signals(series: &Series) -> Table {
    let mut rows = Columns::of(series.signals());
    rows.words("what is out of the ordinary in", |(chart, _)| {
        chart_words(chart.kind)
    });
    rows.words("flagged", |(_, found)| flagged_runs(series, found));
    rows.words("why", |(_, found)| why(found));
    rows.figures("mean departure", |(_, found)| departure(series, found));
    rows.words("began about", |(_, found)| onset(series, found));
    rows.words("first candidate cause", |(_, found)| cause(found));
    rows.answer("What departed, since when, and what changed there?")
}

/// Every chart, run by run.
pub fn charts(drift: &Drifts) -> Table {
    let each = drift.series.iter();
    let each = each.flat_map(|series| series.charts.iter().map(move |chart| (series, chart)));
    Table::joined(each.map(|(series, chart)| {
        let mut rows = Columns::of(series.places.iter().zip(&chart.points));
        rows.data("response", |_| name_of(series));
        rows.data("unit", |_| &series.unit);
        rows.data("chart", |_| chart.kind.name());
        rows.data("run", |(place, _)| &place.name);
        rows.data("lot", |(place, _)| place.lot.as_ref());
        rows.data("value", |(place, _)| place.logged);
        rows.data("charted", |(place, _)| place.charted);
        rows.data("statistic", |(_, point)| point.limited.statistic);
        rows.data("lower", |(_, point)| point.limited.lower);
        rows.data("upper", |(_, point)| point.limited.upper);
        rows.data("flag", |(_, point)| flag(point));
        rows.answer("What do the charts show?")
    }))
}
