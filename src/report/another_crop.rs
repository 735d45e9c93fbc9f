//! Is another crop worth boiling for?
//!
//! In: what the liquors keep. Out: the part of question 2 about plain solubility.
//! This module never reads a solubility.

use super::escape::markdown;
use super::numbers::{fixed, plus_minus};
use super::print::page::Page;
use super::reasons::no_liquor;
use super::run_tables;
use super::words::count;
use crate::decide::Liquors;
use crate::pipeline::Analysis;

/// The answer in one sentence, for the first screen.
pub(super) fn sentence(liquors: &Liquors, factor: f64) -> Option<String> {
    let next = liquors.next?;
    let kept = liquors.kept?;
    let bound = if liquors.common_ion.is_some() {
        "at most "
    } else {
        ""
    };
    Some(format!(
        "Plain solubility keeps {bound}{} % of theory in the last liquor; boiling it down to half would bring a further crop of {bound}{} g, {} % of theory.",
        fixed(100.0 * kept, 1),
        plus_minus(next.mass, factor * next.uncertainty),
        fixed(100.0 * next.of_theory, 1),
    ))
}

/// Writes the table of the last liquors.
pub(super) fn write(page: &mut Page, analysis: &Analysis) {
    let Some(liquors) = &analysis.findings.liquors else {
        return;
    };
    let factor = analysis.coverage_factor();
    let two_crops = liquors.runs.iter().any(|liquor| liquor.expected.is_some());
    let told = liquors.runs.iter();
    let told = told.filter(|liquor| liquor.expected.is_some() || !two_crops);
    let table = run_tables::liquors(told, factor);
    page.heading(3, &table.question);
    if let Some(sentence) = sentence(liquors, factor) {
        page.paragraph(&sentence);
    }
    page.table(&table);
    page.paragraph("All runs stand in `tables/liquors.csv`.");
    let mut doubts: Vec<String> = Vec::new();
    if let Some(acid) = &liquors.common_ion {
        doubts.push(format!(
            "{} is at hand and has an ion in common with the product: an excess of it leaves less in the liquor, so these figures are upper bounds.",
            markdown(acid)
        ));
    }
    if liquors.density_estimated {
        doubts.push("The density of the saturated liquor was estimated, which is most of the ±: weigh 100 mL of it and set `[solubility] density`.".into());
    }
    if let Some(first) = liquors.refused.first() {
        doubts.push(format!(
            "For {} the solubility says nothing, such as {}: {}.",
            count(liquors.refused.len(), "run"),
            markdown(&first.run),
            markdown(&no_liquor(&first.reason))
        ));
    }
    page.list(&doubts);
    page.paragraph(&format!("Solubility: {}.", markdown(&liquors.source)));
}
