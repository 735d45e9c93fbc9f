//! The control charts as data.
//!
//! In: [`Drifts`]. Out: what stands under `drift` and `not_charted`.
//! This module never rounds.

use serde_json::{Value, json};

use crate::drift::{
    ChartKind, ControlChart, Drifts, Explained, Origin, Series, Side, Subject, chance_by_luck,
};
use crate::report::drift::words::{about, candidate, chart_words, flag, name_of, source_of, why};
use crate::report::print::untold_terms::written;
use crate::report::reasons::no_limits;
use crate::result::{self, Point};

/// One entry for each chart of each response and titrant; `flag` is null or says in words what is out of the ordinary.
pub fn drift(drifts: &Drifts) -> Vec<result::Chart> {
    let series = drifts.series.iter();
    series
        .flat_map(|series| series.charts.iter().map(move |chart| one(series, chart)))
        .collect()
}

/// What could not be charted, with the reason.
pub fn not_charted(drifts: &Drifts) -> Value {
    let not_charted = drifts.not_charted.iter();
    not_charted
        .map(|left| json!({ "response": about(&left.subject), "reason": no_limits(left.reason) }))
        .collect()
}

fn one(series: &Series, chart: &ControlChart) -> result::Chart {
    let level = &series.in_control;
    let mut more = json!({
        "signals": chart.signals.iter().map(|found| signal(series, found)).collect::<Value>(),
        "settings": settings(series, chart.kind),
        "shows": chart_words(chart.kind),
    });
    if chart.kind == ChartKind::Individuals {
        let ranges = &series.moving_ranges;
        let beyond = ranges.beyond().into_iter();
        more["moving_range"] = json!({
            "mean": ranges.mean,
            "upper": ranges.upper,
            "beyond": beyond.map(|run| series.places[run].name.as_str()).collect::<Value>(),
        });
    }
    result::Chart {
        response: name_of(series),
        titrant: match &series.subject {
            Subject::Response(_) | Subject::Control => None,
            Subject::Titrant(name) => Some(name.clone()),
        },
        unit: series.unit.clone(),
        chart: chart.kind.name(),
        limits: json!({
            "centre": level.centre,
            "sd": level.sd,
            "centre_from": origin(level.centre_from),
            "sd_from": origin(level.sd_from),
            "lower": chart.lower,
            "upper": chart.upper,
            "limits_widened": chart.widened,
            "spread_of_lots": series.spread_of_lots,
            "taken_out": written(&series.taken_out),
            "false_alarm": chart.chance_of_a_flag,
            "false_alarm_any_chart": series.chance_of_any_flag,
        }),
        points: points(series, chart),
        more,
    }
}

fn settings(series: &Series, kind: ChartKind) -> Value {
    let plan = &series.plan;
    match kind {
        ChartKind::Individuals => {
            let rules = plan.rules.iter().map(
                |&rule| json!({ "rule": rule.words(), "false_alarm_per_run": chance_by_luck(rule), "source": source_of(rule) }),
            );
            json!({ "limits": plan.limits, "rules": rules.collect::<Value>() })
        }
        ChartKind::Ewma => json!({ "lambda": plan.lambda, "limits": plan.limits }),
        ChartKind::Cusum => {
            json!({ "reference": plan.cusum.reference, "decision": plan.cusum.decision })
        }
    }
}

fn origin(origin: Origin) -> String {
    match origin {
        Origin::Stated => "stated".into(),
        Origin::FirstRuns(runs) => format!("first {runs} runs"),
    }
}

fn points(series: &Series, chart: &ControlChart) -> Vec<Point> {
    let places = series.places.iter().zip(&chart.points).enumerate();
    places
        .map(|(position, (place, point))| {
            let gap = position.checked_sub(1);
            let range = gap.map(|gap| series.moving_ranges.ranges[gap]);
            Point {
                run: place.name.clone(),
                statistic: json!({
                    "lot": place.lot,
                    "value": place.logged,
                    "charted": place.charted,
                    "statistic": point.limited.statistic,
                    "lower": point.limited.lower,
                    "upper": point.limited.upper,
                }),
                flag: flag(point),
                more: match (chart.kind, point.sums) {
                    (ChartKind::Individuals, _) => match place.used {
                        Some(used) => json!({ "moving_range": range, "used": used }),
                        None => json!({ "moving_range": range }),
                    },
                    (_, Some(sums)) => {
                        json!({ "upper_statistic": sums.upper, "lower_statistic": sums.lower })
                    }
                    (_, None) => json!({}),
                },
            }
        })
        .collect()
}

fn signal(series: &Series, explained: &Explained) -> Value {
    let signal = &explained.signal;
    let run = |position: usize| &series.places[position].name;
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
