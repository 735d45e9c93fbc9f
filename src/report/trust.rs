//! Which levels differ, how the scatter splits, can the model be trusted, and which terms belong?
//!
//! In: a model with what stands beside it. Out: the second half of its section.
//! This module never judges a figure: what it says comes with it.

use super::diagnostic_words::{name_text, verdict_text};
use super::escape::markdown;
use super::numbers::{fixed, plain, probability};
use super::page::Page;
use super::shown::Shown;
use super::words::capital;
use crate::pipeline::Further;
use crate::regression::{Comparison, EquivalenceVerdict, FactorComparisons, FittedModel, Interval};

/// Writes scatter, comparisons, diagnostics and candidates of one model.
pub(super) fn write(page: &mut Page, model: &FittedModel, further: &Further) {
    let shown = Shown::of(&model.unit);
    scatter(page, model, &shown);
    for comparisons in &further.comparisons {
        levels(page, comparisons, further, &shown);
    }
    diagnostics(page, further);
    candidates(page, further, &shown);
}

fn scatter(page: &mut Page, model: &FittedModel, shown: &Shown) {
    if model.variance_components.len() < 2 {
        return;
    }
    page.heading(3, "Where does the scatter come from?");
    let rows: Vec<Vec<String>> = model
        .variance_components
        .iter()
        .map(|component| {
            let name = match component.name.as_str() {
                "run to run" => "from run to run, beyond measurement".to_string(),
                "measurement" => "measurement, as stated".to_string(),
                block => format!("from one {} to the next", markdown(block)),
            };
            let interval = component
                .interval
                .map_or_else(|| "–".into(), |ends| between(ends, component.sd, shown));
            vec![name, fixed(shown.value(component.sd), 2), interval]
        })
        .collect();
    page.table(
        &[
            "scatter",
            &format!(">standard deviation / {}", shown.difference),
            ">interval",
        ],
        &rows,
    );
}

/// An upper end further off than so many times the standard deviation itself says no more than that there is none.
const NO_UPPER_END: f64 = 100.0;

fn between(ends: Interval, sd: f64, shown: &Shown) -> String {
    let low = fixed(shown.value(ends.low), 2);
    if ends.high > NO_UPPER_END * sd {
        return format!("{low} upwards, too few to tell how far");
    }
    format!("{low} to {}", fixed(shown.value(ends.high), 2))
}

fn levels(page: &mut Page, comparisons: &FactorComparisons, further: &Further, shown: &Shown) {
    if comparisons.pairs.is_empty() {
        return;
    }
    page.heading(
        3,
        &format!(
            "{}: which levels differ, all pairs taken together?",
            capital(&markdown(&comparisons.factor))
        ),
    );
    let rows: Vec<Vec<String>> = comparisons
        .pairs
        .iter()
        .map(|pair| {
            vec![
                format!(
                    "{} against {}",
                    markdown(&pair.level),
                    markdown(&pair.against)
                ),
                difference(pair, shown),
                pair.p.map_or_else(|| "–".into(), probability),
                in_practice(pair, further, shown),
            ]
        })
        .collect();
    page.table(
        &[
            "pair",
            ">difference",
            ">chance of any as large by luck",
            "in practice",
        ],
        &rows,
    );
    let untold: Vec<String> = comparisons
        .untold
        .iter()
        .map(|pair| {
            format!(
                "{} against {}",
                markdown(&pair.level),
                markdown(&pair.against)
            )
        })
        .collect();
    let cannot = if untold.is_empty() {
        String::new()
    } else {
        format!(" Not to be told from this log: {}.", untold.join(", "))
    };
    page.paragraph(&format!(
        "All these intervals hold together with the confidence stated above.{cannot}"
    ));
}

fn difference(pair: &Comparison, shown: &Shown) -> String {
    shown.difference_with(pair.value, pair.interval)
}

/// Whether two levels are alike within the margin that does not matter.
fn in_practice(pair: &Comparison, further: &Further, shown: &Shown) -> String {
    let found = further.alike.iter().find(|alike| {
        alike.factor == pair.factor && alike.level == pair.level && alike.against == pair.against
    });
    let Some(found) = found else {
        return "no margin stated".into();
    };
    let margin = format!("{} {}", plain(shown.value(found.margin)), shown.difference);
    match found.verdict {
        EquivalenceVerdict::Inside => format!("alike within {margin}"),
        EquivalenceVerdict::Outside => format!("more than {margin} apart"),
        EquivalenceVerdict::NotSettled => format!("not settled against {margin}"),
    }
}

fn diagnostics(page: &mut Page, further: &Further) {
    if further.diagnostics.is_empty() {
        return;
    }
    page.heading(3, "Can this model be trusted?");
    let rows: Vec<Vec<String>> = further
        .diagnostics
        .iter()
        .map(|diagnostic| {
            vec![
                markdown(name_text(diagnostic.what)),
                diagnostic.value.map_or_else(|| "–".into(), plain),
                diagnostic.p.map_or_else(|| "–".into(), probability),
                capital(&markdown(&verdict_text(diagnostic))),
            ]
        })
        .collect();
    page.table(
        &[
            "looked at",
            ">figure",
            ">chance if nothing is wrong",
            "reading",
        ],
        &rows,
    );
}

fn candidates(page: &mut Page, further: &Further, shown: &Shown) {
    let Some(selection) = &further.selection else {
        return;
    };
    page.heading(3, "Which further terms belong?");
    let rows: Vec<Vec<String>> = selection
        .ranked
        .iter()
        .zip(&further.decides)
        .map(|(candidate, decides)| {
            let added: Vec<String> = candidate.added.iter().map(|term| markdown(term)).collect();
            let sd =
                |value: Option<f64>| value.map_or_else(|| "–".into(), |sd| plain(shown.value(sd)));
            vec![
                if added.is_empty() {
                    "nothing".into()
                } else {
                    added.join(", ")
                },
                fixed(candidate.delta, 1),
                sd(candidate.leave_one_out_sd),
                sd(candidate.residual_sd),
                list(&decides.matter),
                list(&decides.do_not_show),
            ]
        })
        .collect();
    page.table(
        &[
            "added to the model asked for",
            ">AICc above the best",
            &format!(">an unseen run is missed by / {}", shown.difference),
            &format!(">scatter left / {}", shown.difference),
            "would say that these matter",
            "and does not see",
        ],
        &rows,
    );
    page.paragraph(&format!("{}.", capital(&markdown(selection.warning))));
}

fn list(names: &[String]) -> String {
    if names.is_empty() {
        return "–".into();
    }
    let names: Vec<String> = names.iter().map(|name| markdown(name)).collect();
    names.join(", ")
}
