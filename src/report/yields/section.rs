//! The sections of questions 1 and 2: what each run gave, and where the rest went.
//!
//! In: an analysis. Out: these sections of the report.
//! This module never reads a solubility and never computes a yield.

use super::words::went_in_words;
use super::{measurement, table};
use crate::caveat::{About, Caveat};
use crate::pipeline::Analysis;
use crate::report::doubts_and_gaps::doubts;
use crate::report::print::{Page, percent};

/// Writes what each run gave.
pub fn given(page: &mut Page, analysis: &Analysis) {
    let Some(given) = &analysis.findings.given else {
        return;
    };
    page.show("yields-by-run");
    page.list(given.by_ceiling.iter().map(|route| {
        let [low, middle, high, most] =
            [route.low, route.middle, route.high, route.ceiling].map(|share| percent(share, 1));
        format!(
            "{}: {low} to {high}, {middle} in the middle; its stoichiometry allows {most} of theory",
            route.level
        )
    }));
    page.list(given.second.iter().map(|of| {
        let [low, middle, high] = [of.low, of.middle, of.high].map(|share| percent(share, 1));
        format!(
            "{}: its own product, yield {low} to {high}, {middle} in the middle",
            of.level
        )
    }));
    page.paragraph("Gross yield takes the feed as 100 % pure and the product as weighed; assay-adjusted yield counts what the feed and the residue charged really held; contained yield counts pure product only and is what the rest of this report calls yield.");
    measurement::what_to_improve(page, analysis);
    let is_of_runs = |caveat: &&Caveat| {
        !matches!(caveat.about, About::Response(_)) && !caveat.doubt.is_about_the_balance()
    };
    doubts(page, "1", analysis.caveats.iter().filter(is_of_runs));
}

/// Writes where the rest went.
pub fn went(page: &mut Page, analysis: &Analysis) {
    let Some(went) = &analysis.findings.went else {
        return;
    };
    page.show("balance");
    page.table(&table::went(went));
    page.paragraph(&went_in_words(analysis));
    let caveats = analysis.caveats.iter();
    let of_balance = caveats.filter(|caveat| caveat.doubt.is_about_the_balance());
    doubts(page, "2", of_balance);
}
