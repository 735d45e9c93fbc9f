//! The control charts as data.
//!
//! In: [`Drifts`]. Out: what stands under `drift`, one entry a chart.
//! This module never rounds.

use crate::drift::{
    ChartKind, ControlChart, Drifts, Explained, Origin, Series, Side, Subject, chance_by_luck,
};
use crate::report::drift::words::{about, candidate, chart_words, flag, name_of, why};
use crate::report::print::term_words::written;
use crate::report::reasons::no_limits;
use crate::result::{self, ChartSettings, MovingRange, Rule};

/// One entry for each chart of each response and titrant; `flag` is null or says in words what is out of the ordinary.
pub fn drift(drifts: &Drifts) -> Vec<result::Chart> {
    let series = drifts.series.iter();
    series
        .flat_map(|series| series.charts.iter().map(move |chart| one(series, chart)))
        .collect()
}

/// What could not be charted, with the reason.
pub fn not_charted(drifts: &Drifts) -> Vec<result::NotCharted> {
    drifts
        .not_charted
        .iter()
        .map(|left| result::NotCharted {
            response: about(&left.subject),
            reason: no_limits(left.reason),
        })
        .collect()
}

fn one(series: &Series, chart: &ControlChart) -> result::Chart {
    let level = &series.in_control;
    let ranges = &series.moving_ranges;
    let name = |run: usize| series.places[run].name.clone();
    result::Chart {
        response: name_of(series),
        titrant: match &series.subject {
            Subject::Response(_) => None,
            Subject::Titrant(name) => Some(name.clone()),
        },
        unit: series.unit.clone(),
        chart: chart.kind.name(),
        centre: level.centre,
        sd: level.sd,
        centre_from: origin(level.centre_from),
        sd_from: origin(level.sd_from),
        lower: chart.lower,
        upper: chart.upper,
        taken_out: written(&series.taken_out),
        false_alarm: chart.chance_of_a_flag,
        false_alarm_any_chart: series.chance_of_any_flag,
        points: points(series, chart),
        signals: chart
            .signals
            .iter()
            .map(|found| signal(series, found))
            .collect(),
        settings: settings(series, chart.kind),
        shows: chart_words(chart.kind),
        moving_range: (chart.kind == ChartKind::Individuals).then(|| MovingRange {
            mean: ranges.mean,
            upper: ranges.upper,
            beyond: ranges.beyond().into_iter().map(name).collect(),
        }),
    }
}

fn settings(series: &Series, kind: ChartKind) -> ChartSettings {
    let plan = &series.plan;
    match kind {
        ChartKind::Individuals => ChartSettings::Individuals {
            limits: plan.limits,
            rules: plan
                .rules
                .iter()
                .map(|&rule| Rule {
                    rule: rule.words(),
                    false_alarm_per_run: chance_by_luck(rule),
                })
                .collect(),
        },
        ChartKind::Ewma => ChartSettings::Ewma {
            lambda: plan.lambda,
            limits: plan.limits,
        },
        ChartKind::Cusum => ChartSettings::Cusum {
            reference: plan.cusum.reference,
            decision: plan.cusum.decision,
        },
    }
}

fn origin(origin: Origin) -> String {
    match origin {
        Origin::Stated => "stated".into(),
        Origin::FirstRuns(runs) => format!("first {runs} runs"),
    }
}

fn points(series: &Series, chart: &ControlChart) -> Vec<result::Point> {
    let places = series.places.iter().zip(&chart.points).enumerate();
    places
        .map(|(position, (place, point))| {
            let gap = position.checked_sub(1);
            let range = gap.map(|gap| series.moving_ranges.ranges[gap]);
            result::Point {
                run: place.name.clone(),
                lot: place.lot.clone(),
                value: place.logged,
                charted: place.charted,
                statistic: point.limited.statistic,
                lower: point.limited.lower,
                upper: point.limited.upper,
                flag: flag(point),
                upper_statistic: point.sums.map(|sums| sums.upper),
                lower_statistic: point.sums.map(|sums| sums.lower),
                moving_range: (chart.kind == ChartKind::Individuals).then_some(range),
            }
        })
        .collect()
}

fn signal(series: &Series, explained: &Explained) -> result::Signal {
    let signal = &explained.signal;
    let run = |position: usize| series.places[position].name.clone();
    result::Signal {
        flag: why(explained),
        side: match signal.side {
            Side::Above => "above",
            Side::Below => "below",
        },
        first_run: run(signal.first),
        last_run: run(signal.last),
        furthest_run: run(signal.furthest),
        beyond_limit: signal.beyond,
        onset: run(signal.onset),
        size: signal.size,
        size_in_sd: signal.size_in_sd,
        candidate_cause: explained.cause.as_ref().map(candidate),
    }
}
