//! The sections of questions 1 and 2: what each run gave, and where the rest went.
//!
//! In: an analysis. Out: these sections of the report.
//! This module never reads a solubility and never computes a yield.

use super::words::another_crop;
use super::{measurement, table};
use crate::caveat::{About, Caveat};
use crate::pipeline::Analysis;
use crate::report::doubts_and_gaps::doubts;
use crate::report::print::{Page, count, markdown};
use crate::report::reasons::no_liquor;

/// Writes what each run gave.
pub fn given(page: &mut Page, analysis: &Analysis) {
    if analysis.findings.given.is_none() {
        return;
    }
    page.heading(2, "1 What did each run really give?");
    page.show("yields-by-run");
    page.paragraph("Gross yield takes the feed as 100 % pure and the product as weighed; assay-adjusted yield counts what the feed and the residue charged really held; contained yield counts pure product only and is what the rest of this report calls yield. All in %, ± half the width of the interval; the last column names the source that takes most of the variance of the contained yield, as the next place to improve.");
    let runs = &analysis.runs;
    page.table(&table::yields(runs, analysis.confidence(), &runs.results));
    page.show("yield-and-purity");
    measurement::write(page, analysis);
    let is_of_runs = |caveat: &&Caveat| {
        !matches!(caveat.about, About::Response(_)) && !caveat.doubt.is_about_the_balance()
    };
    doubts(page, analysis.caveats.iter().filter(is_of_runs));
}

/// Writes where the rest went.
pub fn went(page: &mut Page, analysis: &Analysis) {
    let Some(went) = &analysis.findings.went else {
        return;
    };
    page.heading(2, "2 Where did the rest go?");
    page.show("balance");
    page.table(&table::went(went));
    liquors(page, analysis);
    let caveats = analysis.caveats.iter();
    doubts(
        page,
        caveats.filter(|caveat| caveat.doubt.is_about_the_balance()),
    );
}

/// Writes the table of the last liquors.
fn liquors(page: &mut Page, analysis: &Analysis) {
    let Some(liquors) = &analysis.findings.liquors else {
        return;
    };
    let factor = analysis.coverage_factor();
    let two_crops = liquors.runs.iter().any(|liquor| liquor.expected.is_some());
    let told = liquors.runs.iter();
    let told = told.filter(|liquor| liquor.expected.is_some() || !two_crops);
    let table = table::liquors(told, factor);
    page.heading(3, &table.question);
    page.paragraph(&another_crop(liquors, factor).unwrap_or_default());
    page.table(&table);
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
