//! What stands behind answer 8: how charts are drawn, those without a flag, chances of a flag by luck.
//!
//! In: the control charts of an analysis. Out: that part of the appendix.
//! This module never decides what is flagged.

use super::words::{
    centre_of, chart_words, name_of, origin, picture_name, sd_of, simulated_chance, source_of,
    widened,
};
use crate::campaign::Drift;
use crate::drift::{Series, chance_by_luck};
use crate::pipeline::Analysis;
use crate::report::print::untold_terms::written;
use crate::report::print::{Page, and_list, around, capital, joined, percent, plain, probability};

/// Writes how the charts are drawn, and each series.
pub fn write(page: &mut Page, analysis: &Analysis) {
    let drift = &analysis.drift;
    if drift.series.is_empty() {
        return;
    }
    page.paragraph(&settings(&analysis.campaign.drift));
    for series in &drift.series {
        one_series(page, series);
    }
}

fn one_series(page: &mut Page, series: &Series) {
    let name = capital(&name_of(series));
    page.heading(3, &format!("{name}: does it stay where it stood?"));
    for chart in series
        .charts
        .iter()
        .filter(|chart| chart.signals.is_empty())
    {
        page.show(&picture_name(series, chart.kind));
    }
    let taken_out = match joined(written(&series.taken_out), ", ").as_str() {
        "" => " Charted as logged.".into(),
        terms => format!(" Taken out: {terms}."),
    };
    page.paragraph(&format!(
        "Centre {}, standard deviation from one to the next {}, {}.{taken_out}",
        centre_of(series),
        sd_of(series),
        origin(series)
    ));
    page.paragraph(&widened(series));
    let charts = series.charts.iter().map(|chart| {
        let chance = simulated_chance(chart.chance_of_a_flag);
        format!("{} {chance}", chart_words(chart.kind))
    });
    let jumps = series.moving_ranges.beyond().into_iter();
    let jumps = and_list(jumps.map(|position| &series.places[position].name));
    let by_luck = probability(series.moving_ranges.by_luck);
    page.paragraph(&format!(
        "Chance of a flag by luck in a log of this length that does not drift, simulated with limits and errors that come about in the same way: {}; in any of them {}.{}",
        joined(charts, ", "),
        simulated_chance(series.chance_of_any_flag),
        around(
            " Further from the one before than neighbours should be: ",
            &jumps,
            &format!("; by luck {by_luck} are.")
        )
    ));
}

/// How all charts are drawn.
fn settings(plan: &Drift) -> String {
    let rules = plan.rules.iter().map(|&rule| {
        let (words, chance) = (rule.words(), percent(chance_by_luck(rule), 2));
        let source = source_of(rule);
        format!(" The rule {words} is asked for ({source}); it holds by luck at {chance} of independent runs.")
    });
    format!(
        "Limits of single values and of the weighted mean stand {} of their standard deviations out; in the mean the newest value has the weight {}. Cumulative sums add up what departs by more than {} standard deviations, and flag at {}.{}",
        plain(plan.limits),
        plain(plan.lambda),
        plain(plan.cusum.reference),
        plain(plan.cusum.decision),
        rules.collect::<String>()
    )
}

/// Where the method comes from.
pub const SOURCE: &str = "Control charts: ISO 7870-2:2013 (single values and moving ranges), ISO 7870-4:2021 (cumulative sums), ISO 7870-6:2016 and Lucas and Saccucci, Technometrics 32 (1990) 1-12 (weighted means); onset from the sum: Page, Biometrika 41 (1954) 100-115; chances with errors that runs share: simulated, Efron and Tibshirani, An introduction to the bootstrap, 1993, 6.5.";
