//! The section of question 9: what a gram of product cost, against buying it.
//!
//! In: costs. Out: its section of the report.
//! This module never adds up a cost.

use super::crops::in_short;
use super::table;
use super::words::{in_words, not_counted, used_up};
use crate::pipeline::Analysis;
use crate::report::print::{Page, capital, count};
use crate::report::reasons::no_cost;

/// Writes the section.
pub fn write(page: &mut Page, analysis: &Analysis) {
    costs_of(page, analysis);
    page.paragraph(&used_up(&analysis.findings.consumption));
    let crops = analysis.findings.crops.as_ref();
    page.paragraph(&crops.map(in_short).unwrap_or_default());
}

fn costs_of(page: &mut Page, analysis: &Analysis) {
    let Some(costs) = &analysis.costs else {
        return;
    };
    let not_counted = not_counted(costs);
    match &costs.campaign {
        Ok(campaign) => {
            let cost = capital(&in_words(analysis, costs, campaign));
            let runs = count(campaign.runs, "run");
            page.paragraph(&format!(
                "{cost} Over {runs} with a cost and a yield.{not_counted}"
            ));
            page.table(&table::of_campaign(costs, campaign));
            page.marked("Disposal counts the residue that a run left, less what it took off the shelf. The ± holds prices that are stated with one, the content of the product, and how runs differ in masses, labour and yield; off specification product counts as none where a kilogram to specification is meant. The cost of each run stands in `tables/costs.csv`.");
        }
        Err(reason) => page.paragraph(&format!(
            "This cannot be said: {}.{not_counted}",
            no_cost(reason)
        )),
    }
}
