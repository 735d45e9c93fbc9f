//! What stands behind answers 1 and 2: the runs, the measurement, the liquors.
//!
//! In: an analysis. Out: these parts of the appendix.
//! This module never reads a solubility and never computes a yield.

use super::{measurement, second, table};
use crate::pipeline::Analysis;
use crate::report::print::{Page, count, markdown};
use crate::report::reasons::no_liquor;

/// Writes the table of all runs and what is known of the measurement.
pub fn given(page: &mut Page, analysis: &Analysis) {
    if analysis.findings.given.is_none() {
        return;
    }
    let runs = &analysis.runs;
    page.paragraph("All in %, ± half the width of the interval; the last column names the source that takes most of the variance of the contained yield, as the next place to improve.");
    let table = table::yields(runs, analysis.confidence(), &runs.results);
    page.long_table(&table, "yields");
    page.show("yield-and-purity");
    if !runs.combined.is_empty() {
        let factor = analysis.coverage_factor();
        page.answer(&table::combined(runs, analysis.confidence(), factor));
        page.paragraph(COMBINED);
    }
    second::write(page, runs, analysis.coverage_factor());
    measurement::write(page, analysis);
}

/// How several assays of a lot are combined.
const COMBINED: &str = "Assays of a lot from several sources are weighted by one over the sum of their own variance and of one between sources, after Paule and Mandel (1982), the search for it begun where DerSimonian and Laird (1986) end; the interval is that of Hartung and Knapp (2001), t with one degree of freedom less than sources, so that two say little. All runs of the lot share the error of what they say together.";

/// Writes the table of the last liquors.
pub fn went(page: &mut Page, analysis: &Analysis) {
    let Some(liquors) = &analysis.findings.liquors else {
        return;
    };
    let factor = analysis.coverage_factor();
    let two_crops = liquors.runs.iter().any(|liquor| liquor.expected.is_some());
    let told = liquors.runs.iter();
    let told = told.filter(|liquor| liquor.expected.is_some() || !two_crops);
    let table = table::liquors(told, factor);
    page.heading(3, &table.question);
    page.long_table(&table, "liquors");
    page.marked("All runs stand in `tables/liquors.csv`.");
    let bound = liquors.common_ion.as_ref().map(|acid| {
        format!(
            "{} is at hand and has an ion in common with the product: an excess of it leaves less in the liquor, so these figures are upper bounds.",
            markdown(acid)
        )
    });
    let density = liquors.density_estimated.then(|| "The density of the saturated liquor was estimated, which is most of the ±: weigh 100 mL of it and set `[solubility] density`.".into());
    let refused = liquors.refused.first().map(|first| {
        format!(
            "For {} the solubility says nothing, such as {}: {}.",
            count(liquors.refused.len(), "run"),
            markdown(&first.run),
            markdown(&no_liquor(&first.reason))
        )
    });
    page.marked_list([bound, density, refused].into_iter().flatten());
    page.paragraph(&format!("Solubility: {}.", liquors.source));
}
