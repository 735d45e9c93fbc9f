//! The control charts as JSON.
//!
//! In: [`Drifts`]. Out: the list under `drift`, one object a chart.
//! This module never rounds.

use serde_json::{Value, json};

use super::drift_words::{about, candidate, chart_words, flag, name_of, why};
use super::reasons::no_limits;
use crate::drift::{
    ChartKind, ControlChart, Drifts, Explained, Origin, Series, Side, Subject, chance_by_luck,
};

/// `drift`: one object for each chart of each response and titrant.
///
/// `centre` is where the process stands; `lower` and `upper` are the limits of `statistic` after many runs, those at a
/// run stand with its point. Of cumulative sums, `statistic` is the larger of the two, with a minus if it is that of
/// departures downwards; both stand beside it. `flag` is null or says in words what is out of the ordinary.
pub fn drift(drifts: &Drifts) -> Value {
    drifts
        .series
        .iter()
        .flat_map(|series| series.charts.iter().map(move |chart| one(series, chart)))
        .collect()
}

/// What could not be charted, with the reason.
pub fn not_charted(drifts: &Drifts) -> Value {
    drifts
        .not_charted
        .iter()
        .map(|left| json!({"response": about(&left.subject), "reason": no_limits(left.reason)}))
        .collect()
}

fn one(series: &Series, chart: &ControlChart) -> Value {
    let level = &series.in_control;
    let titrant = match &series.subject {
        Subject::Response(_) => None,
        Subject::Titrant(name) => Some(name),
    };
    let mut value = json!({
        "response": name_of(series),
        "titrant": titrant,
        "unit": series.unit,
        "chart": chart.kind.name(),
        "centre": level.centre,
        "sd": level.sd,
        "centre_from": origin(level.centre_from),
        "sd_from": origin(level.sd_from),
        "lower": chart.lower,
        "upper": chart.upper,
        "taken_out": series.taken_out,
        "false_alarm": chart.chance_of_a_flag,
        "false_alarm_any_chart": series.chance_of_any_flag,
        "points": points(series, chart),
        "signals": chart.signals.iter().map(|found| signal(series, found)).collect::<Value>(),
    });
    let settings = match chart.kind {
        ChartKind::Individuals => json!({
            "limits": series.plan.limits,
            "rules": series.plan.rules.iter().map(|&rule| json!({
                "rule": rule.words(),
                "false_alarm_per_run": chance_by_luck(rule),
            })).collect::<Value>(),
        }),
        ChartKind::Ewma => json!({
            "lambda": series.plan.lambda,
            "limits": series.plan.limits,
        }),
        ChartKind::Cusum => json!({
            "reference": series.plan.cusum.reference,
            "decision": series.plan.cusum.decision,
        }),
    };
    value["settings"] = settings;
    value["shows"] = json!(chart_words(chart.kind));
    if chart.kind == ChartKind::Individuals {
        value["moving_range"] = json!({
            "mean": series.moving_ranges.mean,
            "upper": series.moving_ranges.upper,
            "beyond": series.moving_ranges.beyond().into_iter().map(|run| &series.places[run].name).collect::<Vec<_>>(),
        });
    }
    value
}

fn origin(origin: Origin) -> String {
    match origin {
        Origin::Stated => "stated".into(),
        Origin::FirstRuns(runs) => format!("first {runs} runs"),
    }
}

fn points(series: &Series, chart: &ControlChart) -> Value {
    let places = series.places.iter().zip(&chart.points).enumerate();
    places
        .map(|(position, (place, point))| {
            let mut value = json!({
                "run": place.name,
                "lot": place.lot,
                "value": place.logged,
                "charted": place.charted,
                "statistic": point.limited.statistic,
                "lower": point.limited.lower,
                "upper": point.limited.upper,
                "flag": flag(point),
            });
            if let Some(sums) = point.sums {
                value["upper_statistic"] = json!(sums.upper);
                value["lower_statistic"] = json!(sums.lower);
            }
            if chart.kind == ChartKind::Individuals {
                let range = position
                    .checked_sub(1)
                    .map(|gap| series.moving_ranges.ranges[gap]);
                value["moving_range"] = json!(range);
            }
            value
        })
        .collect()
}

fn signal(series: &Series, explained: &Explained) -> Value {
    let signal = &explained.signal;
    let run = |position: usize| series.places[position].name.as_str();
    json!({
        "flag": why(explained),
        "side": match signal.side {
            Side::Above => "above",
            Side::Below => "below",
        },
        "first_run": run(signal.first),
        "last_run": run(signal.last),
        "furthest_run": run(signal.furthest),
        "beyond_limit": signal.beyond,
        "onset": run(signal.onset),
        "size": signal.size,
        "size_in_sd": signal.size_in_sd,
        "candidate_cause": explained.cause.as_ref().map(candidate),
    })
}
