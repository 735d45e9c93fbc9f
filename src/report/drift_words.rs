//! How is a control chart put into words?
//!
//! In: series and signals. Out: questions, clauses and figures that page, terminal and pictures share, not escaped.
//! This module never finds a signal.

use super::numbers::{decimals_for, fixed};
use super::shown::Shown;
use crate::drift::{ChartKind, Explained, InControl, Origin, Series, Side, SignalReason, Subject};

/// The question that a chart answers.
pub(crate) fn asked(series: &Series, kind: ChartKind) -> String {
    let name = series.name();
    let one = match series.subject {
        Subject::Response(_) => "run",
        Subject::Titrant(_) => "standardisation",
    };
    match kind {
        ChartKind::Individuals => format!("Is the {name} of any {one} out of the ordinary?"),
        ChartKind::Ewma => format!("Has the recent {name} moved away?"),
        ChartKind::Cusum => format!("Does {name} depart for good, and since when?"),
    }
}

/// Name of a chart for people.
pub(super) fn chart_words(kind: ChartKind) -> &'static str {
    match kind {
        ChartKind::Individuals => "single values",
        ChartKind::Ewma => "weighted mean of the newest values",
        ChartKind::Cusum => "cumulative sums",
    }
}

/// `62.1 %`: the centre with as many digits as a tenth of the standard deviation needs.
pub(crate) fn centre_of(series: &Series) -> String {
    figure(
        series,
        series.in_control.centre,
        &Shown::raw(&series.unit).unit,
    )
}

/// `2.1 points`.
pub(super) fn sd_of(series: &Series) -> String {
    let shown = Shown::raw(&series.unit);
    let sd = shown.value(series.in_control.sd);
    with_unit(fixed(sd, decimals_for(sd)), &shown.difference)
}

/// A value of the series with the digits that its standard deviation allows.
pub(super) fn figure(series: &Series, value: f64, unit: &str) -> String {
    let shown = Shown::raw(&series.unit);
    let decimals = decimals_for(shown.value(series.in_control.sd));
    with_unit(fixed(shown.value(value), decimals), unit)
}

fn with_unit(text: String, unit: &str) -> String {
    if unit.is_empty() {
        text
    } else {
        format!("{text} {unit}")
    }
}

/// Where centre and standard deviation come from.
pub(super) fn origin(series: &Series) -> String {
    let InControl {
        centre_from,
        sd_from,
        ..
    } = series.in_control;
    let one = match series.subject {
        Subject::Response(_) => "runs",
        Subject::Titrant(_) => "standardisations",
    };
    let all = series.places.len();
    let from = |origin: Origin| match origin {
        Origin::Stated => "stated in the campaign file".to_string(),
        Origin::FirstRuns(runs) if runs == all => format!(
            "estimated from all {runs} {one}, so that a drift among them partly hides itself"
        ),
        Origin::FirstRuns(runs) => format!("estimated from the first {runs} of {all} {one}"),
    };
    if centre_from == sd_from {
        format!("both {}", from(centre_from))
    } else {
        format!(
            "the centre {}, the standard deviation {}",
            from(centre_from),
            from(sd_from)
        )
    }
}

/// `3.2 points (1.5 SD) low`.
pub(super) fn departure(series: &Series, explained: &Explained) -> String {
    let signal = &explained.signal;
    let unit = Shown::raw(&series.unit).difference;
    format!(
        "{} ({} SD) {}",
        figure(series, signal.size.abs(), &unit),
        fixed(signal.size_in_sd.abs(), 1),
        if signal.size < 0.0 { "low" } else { "high" }
    )
}

/// `B-041` or `B-041 to B-047`.
pub(super) fn flagged_runs(series: &Series, explained: &Explained) -> String {
    let signal = &explained.signal;
    let name = |position: usize| series.places[position].name.as_str();
    if signal.first == signal.last {
        name(signal.first).to_string()
    } else {
        format!("{} to {}", name(signal.first), name(signal.last))
    }
}

/// The run where the departure began, as far as the chart can tell.
pub(super) fn onset<'a>(series: &'a Series, explained: &Explained) -> &'a str {
    &series.places[explained.signal.onset].name
}

/// Why it is flagged.
pub(super) fn why(explained: &Explained) -> String {
    let signal = &explained.signal;
    match signal.reason {
        SignalReason::Rule(rule) => rule.words().to_string(),
        SignalReason::BeyondLimit => match signal.side {
            Side::Above => "above the upper limit".into(),
            Side::Below => "below the lower limit".into(),
        },
    }
}

/// The first candidate cause in words.
pub(super) fn cause(explained: &Explained) -> String {
    explained
        .cause
        .as_ref()
        .map_or_else(|| "none in the log".into(), ToString::to_string)
}

/// `31 %`, of a chance that was counted over simulated logs and is known to no more digits.
pub(super) fn simulated_chance(chance: f64) -> String {
    if chance < 0.005 {
        "below 1 %".into()
    } else {
        format!("{} %", fixed(100.0 * chance, 0))
    }
}
