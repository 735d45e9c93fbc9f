//! What stands behind the ±: budgets, titrants, repeatability.
//!
//! In: an analysis. Out: the part of question 1 that says what to improve first.
//! This module never computes a share.

use super::table;
use crate::chemistry::AtomicWeights;
use crate::decide::{Budget, ModelOf, Repeatability};
use crate::pipeline::Analysis;
use crate::report::print::{
    Page, and_list, around, count, decimals_for, fixed, or_list, percent, plain, probability, when,
};
use crate::runs::Used;

/// How many sources that change nothing are named.
const MOST_IDLE: usize = 3;

/// Sources with a smaller part stand in `tables/what-to-improve.csv` only.
const SMALLEST_SHOWN: f64 = 0.01;

/// Writes which source to improve first, lot by lot.
pub fn what_to_improve(page: &mut Page, analysis: &Analysis) {
    let factor = analysis.coverage_factor();
    let by_lot = by_lot(analysis);
    page.list(by_lot.iter().filter_map(|budget| advice(budget, factor)));
}

/// The budgets lot by lot; that of all runs together where there is one alone.
fn by_lot(analysis: &Analysis) -> &[Budget] {
    let budgets = analysis.findings.budgets.as_slice();
    &budgets[usize::from(budgets.len() > 1)..]
}

/// Writes what is known about the measurement.
pub fn write(page: &mut Page, analysis: &Analysis) {
    budgets(page, analysis);
    repeatability(page, analysis);
    titrants(page, analysis);
    page.answer(&table::cross_checks(&analysis.runs.results));
}

/// The sentence that names what to improve first for some runs.
fn advice(budget: &Budget, factor: f64) -> Option<String> {
    let first = budget.first()?;
    let who = match &budget.lot {
        Some(lot) => format!("lot {lot}"),
        None => "all runs together".into(),
    };
    let unknown = and_list(budget.not_stated());
    // Nothing but atomic weights has a known error: then the advice is to state the others.
    if !unknown.is_empty() && first.source == AtomicWeights::BUDGET_NAME {
        return Some(format!(
            "{who}: no uncertainty is stated for {unknown}; state these first"
        ));
    }
    let now = 100.0 * factor * budget.uncertainty;
    let then = 100.0 * factor * first.uncertainty_without;
    let decimals = decimals_for(then);
    let idle = or_list(budget.idle().into_iter().take(MOST_IDLE));
    let nothing = around("; knowing ", &idle, " better would change nothing");
    let bound = around("; nobody states ", &unknown, ", so this is a lower bound");
    Some(format!(
        "{who}: {} takes {} of the variance; without it one yield would be known to ± {} points instead of ± {}{nothing}{bound}",
        first.source,
        percent(first.share, 0),
        fixed(then, decimals),
        fixed(now, decimals),
    ))
}

fn budgets(page: &mut Page, analysis: &Analysis) {
    let by_lot = by_lot(analysis);
    if by_lot.is_empty() {
        return;
    }
    page.heading(3, "Where does the ± come from?");
    page.show("budgets");
    page.table(&table::improvements(by_lot, SMALLEST_SHOWN));
    page.marked("Sources with less than 1 % stand in `tables/what-to-improve.csv`.");
}

/// Fewer degrees of freedom than this make a standard deviation rough: it may be off by half.
const FEW: usize = 8;

fn points(value: f64) -> String {
    format!("{} points", fixed(100.0 * value, 2))
}

fn repeatability(page: &mut Page, analysis: &Analysis) {
    page.heading(3, "How well does the method repeat itself?");
    match &analysis.findings.repeatability {
        Some(found) => page.paragraph(&runs_made_alike(found)),
        None => page.marked("No two runs of this log were made alike (one lot, the same levels, amounts within `same_within`), so only a model can tell scatter of the process from the effect of what was varied. Two or three repeats of one run would tell it directly."),
    }
    let mut responses = analysis.models.responses.iter();
    let of_yield = responses.find(|response| response.kind == ModelOf::Yield);
    let left_over = of_yield.and_then(|response| response.model.residual_sd);
    if let (Some(alone), Some(sd)) = (analysis.findings.measurement_alone, left_over) {
        let reading = match sd > 2.0 * alone {
            true => {
                "far more than measurement explains, so better measurement of single runs would not make runs more alike"
            }
            false => "of the size that measurement explains",
        };
        let [sd, alone] = [sd, alone].map(points);
        page.paragraph(&format!(
            "Beside that, what the model of yield leaves unexplained scatters by {sd}, differences of lots among it, where the errors that runs do not share explain {alone}: {reading}."
        ));
    }
}

fn runs_made_alike(found: &Repeatability) -> String {
    let explained = points(found.explained);
    let judgement = match found.chance {
        Some(chance) if chance < 0.05 => format!(
            "{} times what measurement explains ({explained}; chance of as much by luck {}); the rest, {}, is the process itself",
            fixed(found.deviation / found.explained, 1),
            probability(chance),
            points(found.process)
        ),
        Some(chance) => format!(
            "measurement alone explains {explained} (chance of as much scatter {})",
            probability(chance)
        ),
        None => "no uncertainty is stated that could explain it".into(),
    };
    format!(
        "{} in {} were made alike; their contained yields scatter with a standard deviation of {} ({} of freedom): {judgement}.{}",
        count(found.runs, "run"),
        count(found.groups, "group"),
        points(found.deviation),
        count(found.degrees_of_freedom, "degree"),
        when(
            found.degrees_of_freedom < FEW,
            " From so few repeats these figures are rough."
        )
    )
}

fn titrants(page: &mut Page, analysis: &Analysis) {
    if analysis.runs.titrants.is_empty() {
        return;
    }
    page.answer(&table::titrants(analysis));
    let by_day = analysis.runs.titrants.iter();
    let by_day: Vec<String> = by_day
        .filter_map(|of| {
            Some(format!(
                "{} {}",
                of.titrant,
                strength_by_day(of.by_date.used())?
            ))
        })
        .collect();
    if !by_day.is_empty() {
        page.paragraph(&format!(
            "The table shows mean strengths. Titrations were reckoned with the strength of their day: {}. Other titrants agree over their days, so that one mean stands for all.",
            and_list(by_day)
        ));
    }
    if let Some(control) = &analysis.runs.control {
        let ends = analysis.ends(&control.recovery);
        let decimals = decimals_for(100.0 * (ends.high - ends.value));
        page.paragraph(&format!(
            "The control sample was found at {} ± {} % of its stated purity in {}{}. Purities of crops were {}corrected by it.",
            fixed(100.0 * ends.value, decimals),
            fixed(100.0 * (ends.high - ends.value), decimals),
            count(control.points.len(), "titration"),
            strength_by_day(control.by_date.used())
                .map_or_else(String::new, |by| format!(", on each day {by}")),
            when(!control.corrects, "not "),
        ));
    }
    if let Some(scatter) = analysis.runs.scatter {
        page.paragraph(&format!(
            "Replicate titrations of one crop scatter with a relative standard deviation of {} % ({} of freedom); this stands for reading and end point of each titre.",
            plain(100.0 * scatter.relative),
            count(scatter.degrees_of_freedom as usize, "degree"),
        ));
    }
}

/// How a strength comes about on a day; `None` where one mean stands for all days.
fn strength_by_day(used: Used) -> Option<&'static str> {
    match used {
        Used::Pooled => None,
        Used::Line => Some("by the line through its days"),
        Used::Between => Some("between the days before and behind"),
    }
}
