//! The end of the report: what was left out, how it was done, where it comes from.
//!
//! In: an analysis. Out: the last sections.
//! This module never names a program but residuum itself.

use super::print::{Page, when};
use super::{drift, yields};
use crate::pipeline::Analysis;

/// Writes left-out rows, method and sources.
pub(super) fn write(page: &mut Page, analysis: &Analysis) {
    let has_chemistry = analysis.campaign.chemistry.is_some();
    if !analysis.runs.left_out.is_empty() {
        page.heading(2, "Left out");
        page.paragraph("Rows that were not used, with the reason. A run set aside is still shown in the table of question 1, but is in no model.");
        page.long_table(
            &yields::table::left_out(&analysis.runs.left_out),
            "left-out",
        );
    }
    let passed = yields::passed_over::passed_over(&analysis.runs.passed_over);
    if !passed.is_empty() {
        page.heading(2, "Not read as rows");
        page.list(passed);
    }
    let runs = &analysis.runs;
    if !runs.planned.is_empty() {
        page.heading(2, "Planned in the log");
        page.paragraph("Rows of the runs log with settings and without a date or a result: runs to be made, in no model and no yield.");
        page.table(&yields::table::planned(runs));
    }
    if !runs.superseded.is_empty() {
        page.heading(2, "Superseded lines");
        page.paragraph("Earlier versions of rows of the runs log; of each run the line with the last revision counts.");
        page.table(&yields::table::superseded(&runs.superseded));
    }
    page.heading(2, "Method");
    page.paragraph(when(has_chemistry, CHEMISTRY));
    page.heading(2, "Sources");
    let sources = [
        (has_chemistry, OF_CHEMISTRY.as_slice()),
        (!analysis.models.responses.is_empty(), &OF_MODELS),
        (!analysis.drift.series.is_empty(), &[drift::further::SOURCE]),
    ];
    let sources = sources.iter().filter(|(is_used, _)| *is_used);
    page.list(sources.flat_map(|(_, sources)| sources.iter()));
    page.marked(&format!(
        "Written by residuum {}. Tables with all figures: `tables/`; the same as data: `result.json`.",
        env!("CARGO_PKG_VERSION")
    ));
}

const CHEMISTRY: &str = "Theory is the product that the followed element in the charge could give. Every reading carries a named source of uncertainty; what is not stated in a log or in the campaign file counts as zero and is named as a doubt. Purity as titrated holds for the crop as it was weighed unless the campaign says that samples were dried.";

const OF_CHEMISTRY: [&str; 5] = [
    "Uncertainty: JCGM 100:2008, law of propagation of uncertainty (5.1.2), with sources shared between runs kept shared (5.2.2); degrees of freedom by G.4.1.",
    "Simulation beside propagation: JCGM 101:2008, 7.9 and 8.",
    "Scatter of replicates: ISO 5725-2:1994, 7.3.4 and 7.4; critical difference of two: ISO 5725-6:1994, 4.1.4.",
    "Atomic weights: IUPAC/CIAAW 2021, Prohaska et al., Pure Appl. Chem. 94 (2022) 573-600, abridged values.",
    "Stoichiometry, yields on assayed content and balances of electrons: common practice, no source.",
];

const OF_MODELS: [&str; 5] = [
    "Least squares by orthogonal factors: Golub and Van Loan, Matrix Computations, 4th ed. 2013, 5.3.",
    "Restricted likelihood: Patterson and Thompson, Biometrika 58 (1971) 545-554; its small-sample errors and degrees of freedom: Kenward and Roger, Biometrics 53 (1997) 983-997.",
    "What the best of many settings owes to luck: Efron, J. American Statistical Association 109 (2014) 991-1007, from surfaces shrunken as by Carvalho, Polson and Scott, Biometrika 97 (2010) 465-480.",
    "Several comparisons at once: the multivariate t distribution and Tukey's studentised range.",
    "Normality: Royston, Applied Statistics 44 (1995) 547-551; influence of single runs: Cook, Technometrics 19 (1977) 15-18; hanging terms: Belsley, Kuh and Welsch, Regression Diagnostics, 1980.",
];
