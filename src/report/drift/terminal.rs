//! The control charts for a terminal or a pipe.
//!
//! In: [`Drifts`]. Out: plain text, one paragraph a chart.
//! This module never prints: the program does.

use super::words::{
    about, cause, centre_of, chart_words, departure, flagged_runs, name_of, onset, origin, sd_of,
    simulated_chance, source_of, why,
};
use crate::drift::{ChartKind, ControlChart, Drifts, Series, chance_by_luck};
use crate::report::print::{Screen, Width, fixed, percent, plain};
use crate::report::reasons::no_limits;

/// One paragraph a chart: centre, standard deviation, where they come from, what is flagged and what may have caused it.
pub fn drift(drifts: &Drifts, width: Width) -> String {
    let mut screen = Screen::new(width);
    for series in &drifts.series {
        for chart in &series.charts {
            screen.paragraph();
            one_chart(&mut screen, series, chart);
        }
    }
    for left in &drifts.not_charted {
        let (about, reason) = (about(&left.subject), no_limits(left.reason));
        screen.paragraph();
        screen.line(&format!("{about}: not charted, {reason}"));
    }
    screen.finish()
}

fn one_chart(screen: &mut Screen, series: &Series, chart: &ControlChart) {
    screen.line(&format!("{}, {}", name_of(series), chart_words(chart.kind)));
    screen.line(&format!(
        "centre {}, SD {}, {}",
        centre_of(series),
        sd_of(series),
        origin(series)
    ));
    screen.line(&settings(series, chart));
    if chart.widened > 1.0 {
        let times = fixed(chart.widened, 2);
        screen.line(&format!(
            "limits {times} times as far out, because runs share errors"
        ));
    }
    if chart.signals.is_empty() {
        screen.line(&format!("no flag in {} values", series.places.len()));
    }
    for explained in &chart.signals {
        screen.line(&format!(
            "flag: {} {}; {} since about {}; first candidate cause: {}",
            flagged_runs(series, explained),
            why(explained),
            departure(series, explained),
            onset(series, explained),
            cause(explained)
        ));
    }
    screen.line(&format!(
        "without any drift, a log of this length has a flag here with a chance of {}",
        simulated_chance(chart.chance_of_a_flag)
    ));
}

fn settings(series: &Series, chart: &ControlChart) -> String {
    let plan = &series.plan;
    let [limits, lambda, reference, decision] = [
        plan.limits,
        plan.lambda,
        plan.cusum.reference,
        plan.cusum.decision,
    ]
    .map(plain);
    match chart.kind {
        ChartKind::Individuals => {
            let rules = plan.rules.iter().map(|&rule| {
                let (words, chance) = (rule.words(), percent(chance_by_luck(rule), 2));
                let source = source_of(rule);
                format!("; rule: {words} ({source}; by luck at {chance} of independent runs)")
            });
            format!("limits at {limits} SD{}", rules.collect::<String>())
        }
        ChartKind::Ewma => {
            format!("weight of the newest run {lambda}, limits at {limits} SD of the mean")
        }
        ChartKind::Cusum => {
            format!("departures beyond {reference} SD add up, limits at {decision} SD")
        }
    }
}
