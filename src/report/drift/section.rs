//! The section of question 8: whether the process is drifting.
//!
//! In: the control charts of an analysis. Out: the section.
//! This module never decides what is flagged.

use super::table;
use super::words::{
    centre_of, chart_words, name_of, origin, picture_name, sd_of, simulated_chance,
};
use crate::campaign::Drift;
use crate::caveat::Caveat;
use crate::drift::{Series, chance_by_luck};
use crate::pipeline::Analysis;
use crate::report::beside::{doubts, picture};
use crate::report::print::term_words::written;
use crate::report::print::{
    Page, Pictures, and_list, capital, fixed, markdown, plain, probability,
};

/// Writes the section.
pub fn write(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    let drift = &analysis.drift;
    if drift.series.is_empty() {
        return;
    }
    page.heading(2, "8 Is the process drifting?");
    page.paragraph("Responses are charted without the effects of the declared factors: each run as if it had been made at the reference mix. What a lot gives is never taken out, so that a bad lot shows. A candidate cause is the change in the log nearest to where a departure began; it need not be the cause.");
    page.paragraph(&settings(&analysis.campaign.drift));
    for series in &drift.series {
        one_series(page, series, pictures);
    }
    let caveats: Vec<&Caveat> = drift.caveats.iter().collect();
    doubts(page, &caveats);
}

fn one_series(page: &mut Page, series: &Series, pictures: &Pictures) {
    let name = capital(&markdown(&name_of(series)));
    page.heading(3, &format!("{name}: does it stay where it stood?"));
    for chart in &series.charts {
        picture(page, pictures, &picture_name(series, chart.kind));
    }
    page.paragraph(&format!(
        "Centre {}, standard deviation from one to the next {}, {}.{}",
        markdown(&centre_of(series)),
        markdown(&sd_of(series)),
        origin(series),
        taken_out(series)
    ));
    let signals = table::signals(series);
    if signals.rows.is_empty() {
        page.paragraph("No chart flags.");
    } else {
        page.heading(4, &signals.question);
        page.table(&signals);
    }
    page.paragraph(&format!("{}{}", by_luck(series), jumps(series)));
}

fn taken_out(series: &Series) -> String {
    if series.taken_out.is_empty() {
        return " Charted as logged.".into();
    }
    let terms: Vec<String> = written(&series.taken_out)
        .iter()
        .map(|t| markdown(t))
        .collect();
    format!(" Taken out: {}.", terms.join(", "))
}

fn by_luck(series: &Series) -> String {
    let charts: Vec<String> = series
        .charts
        .iter()
        .map(|chart| {
            format!(
                "{} {}",
                chart_words(chart.kind),
                simulated_chance(chart.chance_of_a_flag)
            )
        })
        .collect();
    format!(
        "Chance of a flag by luck in a log of this length that does not drift, simulated with limits that come about in the same way: {}; in any of them {}.",
        charts.join(", "),
        simulated_chance(series.chance_of_any_flag),
    )
}

/// How all charts are drawn.
fn settings(plan: &Drift) -> String {
    let rules: Vec<String> = plan
        .rules
        .iter()
        .map(|&rule| {
            format!(
                " The rule {} is asked for; it holds by luck at {} % of runs.",
                rule.words(),
                fixed(100.0 * chance_by_luck(rule), 2)
            )
        })
        .collect();
    format!(
        "Limits of single values and of the weighted mean stand {} of their standard deviations out; in the mean the newest value has the weight {}. Cumulative sums add up what departs by more than {} standard deviations, and flag at {}.{}",
        plain(plan.limits),
        plain(plan.lambda),
        plain(plan.cusum.reference),
        plain(plan.cusum.decision),
        rules.concat()
    )
}

fn jumps(series: &Series) -> String {
    let beyond: Vec<String> = series
        .moving_ranges
        .beyond()
        .into_iter()
        .map(|position| markdown(&series.places[position].name))
        .collect();
    if beyond.is_empty() {
        return String::new();
    }
    format!(
        " Further from the one before than neighbours should be: {}; by luck {} are.",
        and_list(&beyond),
        probability(series.moving_ranges.by_luck)
    )
}

/// Where the method comes from.
pub const SOURCE: &str = "Control charts: ISO 7870-2:2013 (single values and moving ranges), ISO 7870-4:2021 (cumulative sums), ISO 7870-6:2016 and Lucas and Saccucci, Technometrics 32 (1990) 1-12 (weighted means); onset from the sum: Page, Biometrika 41 (1954) 100-115.";
