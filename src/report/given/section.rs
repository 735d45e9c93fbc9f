//! The sections of questions 1 and 2: what each run gave, and where the rest went.
//!
//! In: an analysis. Out: these sections of the report.
//! This module never reads a solubility and never computes a yield.

use super::words::another_crop;
use super::{measurement, table};
use crate::caveat::{About, Caveat};
use crate::pipeline::Analysis;
use crate::report::beside::{doubts, picture};
use crate::report::print::{Cell, Column, Page, Pictures, Table, count, markdown};
use crate::report::reasons::no_liquor;

/// Writes what each run gave.
pub fn given(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    if analysis.findings.given.is_none() {
        return;
    }
    page.heading(2, "1 What did each run really give?");
    picture(page, pictures, "yields-by-run");
    page.paragraph("Gross yield takes the feed as 100 % pure and the product as weighed; assay-adjusted yield counts what the feed and the residue charged really held; contained yield counts pure product only and is what the rest of this report calls yield. All in %, ± half the width of the interval; the last column names the source that takes most of the variance of the contained yield, as the next place to improve.");
    let runs = &analysis.runs;
    page.table(&table::yields(
        runs,
        analysis.confidence(),
        runs.results.iter(),
    ));
    picture(page, pictures, "yield-and-purity");
    measurement::write(page, analysis, pictures);
    let caveats: Vec<&Caveat> = analysis
        .caveats
        .iter()
        .filter(|caveat| {
            !matches!(caveat.about, About::Response(_)) && !caveat.kind().is_about_the_balance()
        })
        .collect();
    doubts(page, &caveats);
}

/// Writes where the rest went.
pub fn went(page: &mut Page, analysis: &Analysis, pictures: &Pictures) {
    let Some(went) = &analysis.findings.went else {
        return;
    };
    page.heading(2, "2 Where did the rest go?");
    picture(page, pictures, "balance");
    let columns = vec![
        Column::words("part of the charge"),
        Column::figures("middle of the runs").unit("%"),
        Column::figures("runs in which it was measured"),
    ];
    let parts = [
        ("in the crops", went.crops),
        ("in the mother liquor", went.liquor),
        ("in the residue", went.residue),
        ("nowhere that anyone measured", went.unaccounted),
    ];
    let rows = parts.map(|(name, part)| {
        let middle = part.middle.map(|part| Cell::fixed(part, 1).times(100.0));
        let middle = middle.unwrap_or_else(|| Cell::because("not measured"));
        vec![Cell::text(name), middle, Cell::Count(part.runs)]
    });
    page.table(&Table::new("Where did the rest go?", columns).with(rows));
    let caveats: Vec<&Caveat> = analysis
        .caveats
        .iter()
        .filter(|caveat| caveat.kind().is_about_the_balance())
        .collect();
    liquors(page, analysis);
    doubts(page, &caveats);
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
    if let Some(sentence) = another_crop(liquors, factor) {
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
