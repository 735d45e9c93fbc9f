//! What stands behind the ±: budgets, titrants, repeatability.
//!
//! In: an analysis. Out: the part of question 1 that says what to improve first.
//! This module never computes a share.

use super::escape::markdown;
use super::numbers::{decimals_for, fixed, plain, plus_minus, probability};
use super::page::Page;
use super::pictures::Pictures;
use super::sections::picture;
use super::words::{and_list, count, or_list};
use crate::chemistry::AtomicWeights;
use crate::decide::{Budget, ModelOf, Repeatability};
use crate::measured::Share;
use crate::pipeline::Analysis;

/// How many sources that change nothing are named.
const MOST_IDLE: usize = 3;

/// Sources with a smaller part stand in `tables/what-to-improve.csv` only.
const SMALLEST_SHOWN: f64 = 0.01;

/// Writes what is known about the measurement.
pub(super) fn write(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    budgets(page, analysis, pictures);
    repeatability(page, analysis);
    titrants(page, analysis);
    cross_checks(page, analysis);
}

/// The sentence that names what to improve first for some runs.
pub(super) fn advice(budget: &Budget, factor: f64) -> Option<String> {
    let first = budget.first()?;
    let who = match &budget.lot {
        Some(lot) => format!("lot {}", markdown(lot)),
        None => "all runs together".into(),
    };
    let now = 100.0 * factor * budget.uncertainty;
    let then = 100.0 * factor * first.uncertainty_without;
    let decimals = decimals_for(then);
    let idle: Vec<String> = budget
        .idle()
        .into_iter()
        .take(MOST_IDLE)
        .map(markdown)
        .collect();
    let nothing = if idle.is_empty() {
        String::new()
    } else {
        format!("; knowing {} better would change nothing", or_list(&idle))
    };
    let unknown: Vec<String> = budget.not_stated().into_iter().map(markdown).collect();
    let bound = if unknown.is_empty() {
        String::new()
    } else {
        format!(
            "; nobody states {}, so this is a lower bound",
            and_list(&unknown)
        )
    };
    // Nothing but atomic weights has a known error: then the advice is to state the others.
    if !unknown.is_empty() && first.source == AtomicWeights::BUDGET_NAME {
        return Some(format!(
            "{who}: no uncertainty is stated for {}; state these first",
            and_list(&unknown)
        ));
    }
    Some(format!(
        "{who}: {} takes {} % of the variance; without it one yield would be known to ± {} points instead of ± {}{nothing}{bound}",
        markdown(&first.source),
        fixed(100.0 * first.share, 0),
        fixed(then, decimals),
        fixed(now, decimals),
    ))
}

fn budgets(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    let budgets = &analysis.answers.budgets;
    if budgets.is_empty() {
        return;
    }
    page.heading(3, "Where does the ± come from, and what to improve first?");
    picture(page, pictures, "budgets");
    let by_lot: Vec<&Budget> = if budgets.len() > 1 {
        budgets.iter().skip(1).collect()
    } else {
        budgets.iter().collect()
    };
    page.list(
        &by_lot
            .iter()
            .filter_map(|budget| advice(budget, analysis.coverage_factor()))
            .collect::<Vec<_>>(),
    );
    let rows: Vec<Vec<String>> = by_lot
        .iter()
        .flat_map(|budget| {
            let worth = |share: &&Share| share.share.is_none_or(|part| part >= SMALLEST_SHOWN);
            budget.shares.iter().filter(worth).map(|share| {
                vec![
                    budget.lot.as_deref().map_or_else(|| "all".into(), markdown),
                    markdown(&share.source),
                    share.share.map_or_else(
                        || "not stated".into(),
                        |share| format!("{} %", fixed(100.0 * share, 1)),
                    ),
                ]
            })
        })
        .collect();
    page.table(&["lot", "source", ">part of the variance"], &rows);
    page.paragraph("Sources with less than 1 % stand in `tables/what-to-improve.csv`.");
}

/// Fewer degrees of freedom than this make a standard deviation rough: it may be off by half.
const FEW: usize = 8;

fn points(value: f64) -> String {
    format!("{} points", fixed(100.0 * value, 2))
}

fn repeatability(page: &mut Page, analysis: &Analysis) {
    page.heading(3, "How well does the method repeat itself?");
    match &analysis.answers.repeatability {
        Some(found) => page.paragraph(&runs_made_alike(found)),
        None => page.paragraph("No two runs of this log were made alike (one lot, the same levels, amounts within `same_within`), so only a model can tell scatter of the process from the effect of what was varied. Two or three repeats of one run would tell it directly."),
    }
    let mut responses = analysis.models.responses.iter();
    let model = responses
        .find(|response| response.kind == ModelOf::Yield)
        .map(|response| &response.model);
    if let (Some(alone), Some(sd)) = (
        analysis.answers.measurement_alone,
        model.and_then(|model| model.residual_sd),
    ) {
        let reading = if sd > 2.0 * alone {
            "far more than measurement explains, so better measurement of single runs would not make runs more alike"
        } else {
            "of the size that measurement explains"
        };
        page.paragraph(&format!(
            "Beside that, what the model of yield leaves unexplained scatters by {}, differences of lots among it, where the errors that runs do not share explain {}: {reading}.",
            points(sd),
            points(alone)
        ));
    }
}

fn runs_made_alike(found: &Repeatability) -> String {
    let judgement = match found.chance {
        Some(chance) if chance < 0.05 => format!(
            "{} times what measurement explains ({}; chance of as much by luck {}); the rest, {}, is the process itself",
            fixed(found.deviation / found.explained, 1),
            points(found.explained),
            probability(chance),
            points(found.process)
        ),
        Some(chance) => format!(
            "measurement alone explains {} (chance of as much scatter {})",
            points(found.explained),
            probability(chance)
        ),
        None => "no uncertainty is stated that could explain it".into(),
    };
    let rough = if found.degrees_of_freedom < FEW {
        " From so few repeats these figures are rough."
    } else {
        ""
    };
    format!(
        "{} in {} were made alike; their contained yields scatter with a standard deviation of {} ({} of freedom): {judgement}.{rough}",
        count(found.runs, "run"),
        count(found.groups, "group"),
        points(found.deviation),
        count(found.degrees_of_freedom, "degree"),
    )
}

fn titrants(page: &mut Page, analysis: &Analysis) {
    if analysis.runs.titrants.is_empty() {
        return;
    }
    page.heading(
        3,
        "How strong are the titrants, and how far do titrations scatter?",
    );
    let rows: Vec<Vec<String>> = analysis
        .runs
        .titrants
        .iter()
        .map(|titrant| {
            let main = titrant
                .budget
                .iter()
                .find_map(|share| Some((share.share?, &share.source)))
                .map_or_else(String::new, |(share, source)| {
                    format!("{}, {} %", markdown(source), fixed(100.0 * share, 0))
                });
            vec![
                markdown(&titrant.titrant),
                {
                    let ends = analysis.ends(&titrant.concentration);
                    plus_minus(ends.value, ends.high - ends.value)
                },
                titrant.rows.len().to_string(),
                main,
            ]
        })
        .collect();
    page.table(
        &[
            "titrant",
            ">concentration / mol/L",
            ">rows in its log",
            "most of the ± comes from",
        ],
        &rows,
    );
    if let Some(scatter) = analysis.runs.scatter {
        page.paragraph(&format!(
            "Replicate titrations of one crop scatter with a relative standard deviation of {} % ({} of freedom); this stands for reading and end point of each titre.",
            plain(100.0 * scatter.relative),
            count(scatter.degrees_of_freedom as usize, "degree"),
        ));
    }
}

fn cross_checks(page: &mut Page, analysis: &Analysis) {
    let checks = &analysis.runs.cross_checks;
    if checks.is_empty() {
        return;
    }
    page.heading(3, "Does propagation hold where an input is very uncertain?");
    let rows: Vec<Vec<String>> = checks
        .iter()
        .map(|named| {
            let check = &named.check;
            let decimals = decimals_for(100.0 * check.uncertainty);
            vec![
                markdown(&named.run),
                format!(
                    "{} to {}",
                    fixed(100.0 * check.low, decimals),
                    fixed(100.0 * check.high, decimals)
                ),
                fixed(100.0 * check.apart, decimals + 1),
                fixed(100.0 * check.tolerance, decimals + 1),
                if check.agrees {
                    "agrees"
                } else {
                    "differs: the simulated interval counts"
                }
                .into(),
            ]
        })
        .collect();
    page.table(
        &[
            "run",
            ">simulated interval of the contained yield / %",
            ">apart / points",
            ">tolerance / points",
            "verdict",
        ],
        &rows,
    );
}
