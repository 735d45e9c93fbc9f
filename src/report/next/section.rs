//! The section of question 7: which runs should be made next.
//!
//! In: the plan of further runs. Out: its section of the report.
//! This module never plans a run.

use super::words::{headline, how_many, too_little};
use super::{assays, table};
use crate::decide::NextRuns;
use crate::pipeline::Analysis;
use crate::report::doubts_and_gaps::{about, doubt};
use crate::report::print::aim_names::Called;
use crate::report::print::untold_terms::written;
use crate::report::print::{Page, and_list, around, capital, markdown};

/// Writes the section.
pub fn write(page: &mut Page, analysis: &Analysis) {
    let Some(planned) = &analysis.next else {
        return;
    };
    match planned {
        Ok(plan) => the_plan(page, plan, &|name| analysis.campaign.called(name)),
        Err(error) => {
            let hint = error.advice().unwrap_or_default();
            let hint = around(" What to do: ", hint, ".");
            page.paragraph(&format!("{}.{hint}", capital(error.message())));
        }
    }
}

/// Writes what the runs would make known.
pub fn further(page: &mut Page, analysis: &Analysis) {
    match assays::lines(analysis).as_slice() {
        [only] => page.paragraph(only),
        lines => page.list(lines),
    }
    let Some(Ok(plan)) = &analysis.next else {
        return;
    };
    let called: Called = &|name| analysis.campaign.called(name);
    if !plan.widths.is_empty() {
        page.answer(&table::widths(plan, called));
        page.paragraph("Half the width of the interval, as it is and as it is to be expected: the mean over all that the scatter of runs may be, as far as those made tell it. Chances allow for that too.");
    }
    page.answer(&table::power(plan, called));
    if let Some(why) = too_little(plan) {
        page.paragraph(&format!("{}.", capital(&why)));
    }
}

fn the_plan(page: &mut Page, plan: &NextRuns, called: Called) {
    if !plan.runs.is_empty() {
        to_make(page, plan, called);
    }
    page.paragraph(&headline(plan, called));
    let tangled = around(
        "Within the limits, levels and lots stated, no run tells apart ",
        &and_list(written(&plan.still_tangled)),
        ". What to do: put another lot on the shelf, or allow further levels or combinations.",
    );
    let doubts = plan.caveats.iter().map(doubt).chain([tangled]);
    let doubts: Vec<String> = doubts.filter(|doubt| !doubt.is_empty()).collect();
    if !doubts.is_empty() {
        page.heading(3, &about("7"));
        page.list(doubts);
    }
}

fn to_make(page: &mut Page, plan: &NextRuns, called: Called) {
    page.table(&table::runs(plan, called));
    page.marked(&format!(
        "These {} are chosen to teach most about {}, beside the runs made, within the declared limits, levels and lots; the order is drawn at random, so that a drift falls on no setting alone. Another number of runs is planned by `residuum next --runs N`, which also writes them as lines of the runs log. Check each against local codes, safety data sheets and what the vessel holds before it is made.",
        how_many(plan),
        markdown(&called(&plan.response))
    ));
    if plan.runs.iter().any(|run| run.weighing.is_some()) {
        page.paragraph("The masses give these settings with the middle feed mass of the runs made; they are a suggestion, to be weighed to what the lot and the residue at hand really hold.");
    }
}
