//! The control charts for a terminal or a pipe.
//!
//! In: [`Drifts`]. Out: plain text, one paragraph a chart.
//! This module never prints: the program does.

use super::words::{
    about, cause, centre_of, chart_words, departure, flagged_runs, name_of, onset, origin, sd_of,
    simulated_chance, why,
};
use crate::drift::{ChartKind, ControlChart, Drifts, Explained, Series, chance_by_luck};
use crate::report::print::{Width, fixed, one_line, plain, wrapped};
use crate::report::reasons::no_limits;

/// One paragraph a chart: centre, standard deviation, where they come from, what is flagged and what may have caused it.
pub fn drift(drifts: &Drifts, width: Width) -> String {
    let mut paragraphs: Vec<String> = Vec::new();
    for series in &drifts.series {
        for chart in &series.charts {
            paragraphs.push(paragraph(series, chart));
        }
    }
    for left in &drifts.not_charted {
        let line = format!(
            "{}: not charted, {}",
            about(&left.subject),
            no_limits(left.reason)
        );
        paragraphs.push(format!("{}\n", one_line(&line)));
    }
    wrapped(&paragraphs.join("\n"), width)
}

fn paragraph(series: &Series, chart: &ControlChart) -> String {
    let mut lines = vec![
        format!("{}, {}", name_of(series), chart_words(chart.kind)),
        format!(
            "centre {}, SD {}, {}",
            centre_of(series),
            sd_of(series),
            origin(series)
        ),
        settings(series, chart),
    ];
    if chart.signals.is_empty() {
        lines.push(format!("no flag in {} values", series.places.len()));
    }
    for explained in &chart.signals {
        lines.push(flag(series, explained));
    }
    lines.push(format!(
        "without any drift, a log of this length has a flag here with a chance of {}",
        simulated_chance(chart.chance_of_a_flag)
    ));
    lines
        .iter()
        .map(|line| format!("{}\n", one_line(line)))
        .collect()
}

fn flag(series: &Series, explained: &Explained) -> String {
    format!(
        "flag: {} {}; {} since about {}; first candidate cause: {}",
        flagged_runs(series, explained),
        why(explained),
        departure(series, explained),
        onset(series, explained),
        cause(explained)
    )
}

fn settings(series: &Series, chart: &ControlChart) -> String {
    let plan = &series.plan;
    match chart.kind {
        ChartKind::Individuals => {
            let rules: Vec<String> = plan
                .rules
                .iter()
                .map(|&rule| {
                    let chance = 100.0 * chance_by_luck(rule);
                    format!(
                        "; rule: {} (by luck at {} % of runs)",
                        rule.words(),
                        fixed(chance, 2)
                    )
                })
                .collect();
            format!("limits at {} SD{}", plain(plan.limits), rules.concat())
        }
        ChartKind::Ewma => format!(
            "weight of the newest run {}, limits at {} SD of the mean",
            plain(plan.lambda),
            plain(plan.limits)
        ),
        ChartKind::Cusum => format!(
            "departures beyond {} SD add up, limits at {} SD",
            plain(plan.cusum.reference),
            plain(plan.cusum.decision)
        ),
    }
}
