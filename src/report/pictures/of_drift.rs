//! Pictures of control charts.
//!
//! In: the control charts of an analysis. Out: one picture a chart.
//! This module never computes a limit.

use super::parts::{file_name, line, on_axis};
use crate::charts::{ControlChart, ControlMark, ControlRun, Slot};
use crate::decide::ModelOf;
use crate::drift::{self, ChartKind, ChartPoint, Drifts, Series, Side, Subject};
use crate::error::Error;
use crate::report::drift::words::{asked, centre_of, name_of, picture_name};
use crate::report::print::{Picture, Shown};

/// One picture for each chart of each series.
pub(super) fn drift_charts(drift: &Drifts) -> Result<Vec<Picture>, Error> {
    let mut pictures = Vec::new();
    for (position, series) in drift.series.iter().enumerate() {
        for chart in &series.charts {
            pictures.push(picture(series, chart, position)?);
        }
    }
    Ok(pictures)
}

/// A name from a campaign never stands in a path.
fn file(series: &Series, kind: ChartKind, position: usize) -> String {
    let about = match &series.subject {
        Subject::Response(name) => file_name(&ModelOf::named(name), position),
        Subject::Titrant(_) => format!("titrant-{}", position + 1),
        Subject::Control => "control".into(),
    };
    let what = match kind {
        ChartKind::Individuals => "single",
        ChartKind::Ewma => "recent",
        ChartKind::Cusum => "added-up",
    };
    format!("drift-{about}-{what}.svg")
}

fn picture(
    series: &Series,
    chart: &drift::ControlChart,
    position: usize,
) -> Result<Picture, Error> {
    let shown = Shown::of(&series.unit);
    let (y_label, caption) = match chart.kind {
        ChartKind::Individuals => (
            quantity(series, &shown),
            "Each value by itself over the band between its limits; flagged where it leaves the band, or where a rule that the campaign file asks for holds.",
        ),
        ChartKind::Ewma => (
            quantity(series, &shown),
            "A weighted mean in which the newest value counts most, over the band between its limits, which are narrower at first.",
        ),
        ChartKind::Cusum => (
            format!("sum of departures / {}", on_axis(&shown.difference)),
            "Departures from the centre beyond a slack, added up for as long as they go on, upwards and downwards; a sum that leaves the band is flagged, and where it last stood at zero is the best guess of when the change began.",
        ),
    };
    let centre = match chart.kind {
        ChartKind::Cusum => line(0.0, "no departure"),
        ChartKind::Individuals | ChartKind::Ewma => line(
            shown.value(series.in_control.centre),
            format!("centre {}", centre_of(series)),
        ),
    };
    let runs = series.places.iter().zip(&chart.points);
    let runs = runs.map(|(place, point)| Slot {
        name: place.name.clone(),
        group: place.lot.clone(),
        shown: ControlRun {
            low: shown.value(point.limited.lower),
            high: shown.value(point.limited.upper),
            marks: marks(chart.kind, point, &shown),
            single: match chart.kind {
                ChartKind::Ewma => Some(shown.value(place.charted)),
                ChartKind::Individuals => place.used.map(|used| shown.value(used)),
                ChartKind::Cusum => None,
            },
        },
    });
    let drawn = ControlChart {
        question: asked(series, chart.kind),
        y_label,
        statistics: statistics(chart.kind),
        runs: runs.collect(),
        joined: chart.kind != ChartKind::Individuals,
        single_name: match chart.kind {
            ChartKind::Individuals => "reckoned with that day".into(),
            ChartKind::Ewma | ChartKind::Cusum => "single values".into(),
        },
        centre,
    };
    Ok(Picture {
        name: picture_name(series, chart.kind),
        file: file(series, chart.kind, position),
        svg: drawn.svg()?,
        question: drawn.question,
        caption: caption.into(),
    })
}

fn quantity(series: &Series, shown: &Shown) -> String {
    let adjusted = if series.taken_out.is_empty() {
        ""
    } else {
        ", effects taken out"
    };
    format!("{}{adjusted} / {}", name_of(series), on_axis(&shown.unit))
}

fn statistics(kind: ChartKind) -> Vec<String> {
    let names: &[&str] = match kind {
        ChartKind::Individuals => &["single values"],
        ChartKind::Ewma => &["weighted mean"],
        ChartKind::Cusum => &["upwards", "downwards"],
    };
    names.iter().map(ToString::to_string).collect()
}

fn marks(kind: ChartKind, point: &ChartPoint, shown: &Shown) -> Vec<ControlMark> {
    let sum = |value: f64, side: Side| ControlMark {
        value: shown.value(value),
        flagged: point.limited.beyond() == Some(side),
    };
    match kind {
        ChartKind::Individuals | ChartKind::Ewma => vec![ControlMark {
            value: shown.value(point.limited.statistic),
            flagged: point.is_flagged(),
        }],
        ChartKind::Cusum => {
            let sums = point.sums.unwrap_or_default();
            vec![sum(sums.upper, Side::Above), sum(-sums.lower, Side::Below)]
        }
    }
}
