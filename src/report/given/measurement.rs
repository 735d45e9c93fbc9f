//! What stands behind the ±: budgets, titrants, repeatability.
//!
//! In: an analysis. Out: the part of question 1 that says what to improve first.
//! This module never computes a share.

use super::table;
use crate::chemistry::AtomicWeights;
use crate::decide::{Budget, ModelOf, Repeatability};
use crate::pipeline::Analysis;
use crate::regression::Interval;
use crate::report::beside::picture;
use crate::report::print::{
    Cell, Column, Page, Pictures, Table, and_list, count, decimals_for, fixed, markdown, or_list,
    plain, probability,
};

/// How many sources that change nothing are named.
const MOST_IDLE: usize = 3;

/// Sources with a smaller part stand in `tables/what-to-improve.csv` only.
const SMALLEST_SHOWN: f64 = 0.01;

/// Writes what is known about the measurement.
pub fn write(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    budgets(page, analysis, pictures);
    repeatability(page, analysis);
    titrants(page, analysis);
    cross_checks(page, analysis);
}

/// The sentence that names what to improve first for some runs.
pub fn advice(budget: &Budget, factor: f64) -> Option<String> {
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
    let budgets = &analysis.findings.budgets;
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
    page.table(&table::improvements(by_lot.into_iter(), SMALLEST_SHOWN));
    page.paragraph("Sources with less than 1 % stand in `tables/what-to-improve.csv`.");
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
        None => page.paragraph("No two runs of this log were made alike (one lot, the same levels, amounts within `same_within`), so only a model can tell scatter of the process from the effect of what was varied. Two or three repeats of one run would tell it directly."),
    }
    let mut responses = analysis.models.responses.iter();
    let model = responses
        .find(|response| response.kind == ModelOf::Yield)
        .map(|response| &response.model);
    if let (Some(alone), Some(sd)) = (
        analysis.findings.measurement_alone,
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
    let table = table::titrants(analysis);
    page.heading(3, &table.question);
    page.table(&table);
    if let Some(scatter) = analysis.runs.scatter {
        page.paragraph(&format!(
            "Replicate titrations of one crop scatter with a relative standard deviation of {} % ({} of freedom); this stands for reading and end point of each titre.",
            plain(100.0 * scatter.relative),
            count(scatter.degrees_of_freedom as usize, "degree"),
        ));
    }
}

fn cross_checks(page: &mut Page, analysis: &Analysis) {
    let results = &analysis.runs.results;
    if results.iter().all(|run| run.cross_check.is_none()) {
        return;
    }
    page.heading(3, "Does propagation hold where an input is very uncertain?");
    let columns = vec![
        Column::words("run"),
        Column::figures("simulated interval of the contained yield").unit("%"),
        Column::figures("apart").unit("points"),
        Column::figures("tolerance").unit("points"),
        Column::words("verdict"),
    ];
    let rows = results.iter().filter_map(|run| {
        let check = run.cross_check.as_ref()?;
        let decimals = decimals_for(100.0 * check.uncertainty);
        let interval = Interval {
            low: check.low,
            high: check.high,
        };
        let points = |value: f64| Cell::fixed(value, decimals + 1).times(100.0);
        Some(vec![
            Cell::text(&run.run),
            Cell::range(interval, decimals).times(100.0),
            points(check.apart),
            points(check.tolerance),
            Cell::text(match check.agrees {
                true => "agrees",
                false => "differs: the simulated interval counts",
            }),
        ])
    });
    page.table(&Table::new("Does propagation hold?", columns).with(rows));
}
