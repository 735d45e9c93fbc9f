//! The tables of a report as CSV.
//!
//! In: an analysis. Out: [`TableFile`]s: every figure with ten significant digits, units in the headings.
//! This module never writes a sentence.

use super::cost_tables;
use super::doubts;
use super::drift_section;
use super::escape::csv;
use super::model_tables::{effects, means, terms, tests};
use super::next_section::{table_headings, table_rows};
use super::numbers::committed;
use super::reasons::no_result;
use crate::measured::Measured;
use crate::pipeline::Analysis;
use crate::runs::Outcome;

/// One CSV file.
#[derive(Debug, Clone)]
pub(super) struct TableFile {
    /// File name.
    pub file: &'static str,
    /// Its text.
    pub text: String,
}

/// All tables that have rows.
pub(super) fn tables(analysis: &Analysis) -> Vec<TableFile> {
    let mut files = Vec::new();
    let mut add = |file: &'static str, headings: &[&str], rows: Vec<Vec<String>>| {
        if rows.is_empty() {
            return;
        }
        let mut text = headings.join(",");
        text.push('\n');
        for row in rows {
            text.push_str(&row.join(","));
            text.push('\n');
        }
        files.push(TableFile { file, text });
    };
    add("yields.csv", YIELDS, yields(analysis));
    add(
        "crops.csv",
        &[
            "run",
            "crop",
            "mass / g",
            "u_mass / g",
            "purity",
            "u_purity",
        ],
        crops(analysis),
    );
    add(
        "uncertainty.csv",
        &["run", "source", "share"],
        budgets(analysis),
    );
    add(
        "liquors.csv",
        &[
            "run",
            "crop",
            "temperature / degC",
            "volume / mL",
            "kept / g",
            "u_kept / g",
            "of_theory",
            "next_crop / g",
            "expected_crop / g",
            "crop / g",
        ],
        liquors(analysis),
    );
    add(
        "what-to-improve.csv",
        &["lot", "runs", "u_contained", "source", "share"],
        improvements(analysis),
    );
    add(
        "titrants.csv",
        &[
            "titrant",
            "concentration / mol/L",
            "u_concentration / mol/L",
        ],
        analysis
            .runs
            .titrants
            .iter()
            .map(|titrant| with_error(vec![csv(&titrant.titrant)], &titrant.concentration))
            .collect(),
    );
    add(
        "terms.csv",
        &[
            "response", "unit", "term", "value", "u", "df", "t", "p", "low", "high",
        ],
        terms(analysis),
    );
    add(
        "effects.csv",
        &[
            "response", "unit", "effect", "change", "u", "low", "high", "p", "reading",
        ],
        effects(analysis),
    );
    add(
        "adjusted-means.csv",
        &["response", "factor", "level", "mean", "u", "low", "high"],
        means(analysis),
    );
    add(
        "tests.csv",
        &["response", "effect", "df", "ss", "f", "p"],
        tests(analysis),
    );
    let headings = table_headings(analysis);
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    add("next-runs.csv", &headings, table_rows(analysis));
    let headings = cost_tables::cost_headings(analysis);
    let headings: Vec<&str> = headings.iter().map(String::as_str).collect();
    add("costs.csv", &headings, cost_tables::costs(analysis));
    add(
        "residue-break-even.csv",
        &["figure", "now", "flips_at", "low", "high", "reason"],
        cost_tables::break_even(analysis),
    );
    add(
        "residue-cycles.csv",
        &[
            "cycle",
            "residue / g",
            "assay",
            "solids / g",
            "gain",
            "half_width",
        ],
        cost_tables::cycles(analysis),
    );
    add(
        "drift.csv",
        drift_section::HEADINGS,
        drift_section::table(&analysis.drift),
    );
    add(
        "left-out.csv",
        &["log", "line", "run", "reason"],
        analysis
            .runs
            .left_out
            .iter()
            .map(|entry| {
                vec![
                    csv(&entry.file),
                    entry.line.to_string(),
                    entry.run.as_deref().map_or_else(String::new, csv),
                    csv(entry.error.message()),
                ]
            })
            .collect(),
    );
    add(
        "doubts.csv",
        &["kind", "about", "seen", "advice"],
        analysis
            .doubts()
            .iter()
            .map(|caveat| {
                vec![
                    csv(doubts::kind_text(caveat.kind())),
                    csv(&doubts::about_text(&caveat.about)),
                    csv(&doubts::seen(caveat)),
                    csv(&doubts::advice(caveat)),
                ]
            })
            .collect(),
    );
    files
}

const YIELDS: &[&str] = &[
    "run",
    "date",
    "lot",
    "set_aside",
    "gross",
    "u_gross",
    "assay_adjusted",
    "u_assay_adjusted",
    "contained",
    "u_contained",
    "contained_fresh",
    "u_contained_fresh",
    "purity",
    "u_purity",
    "theory_fresh / g",
    "u_theory_fresh / g",
    "theory_total / g",
    "u_theory_total / g",
    "in_crops",
    "u_in_crops",
    "in_liquor",
    "u_in_liquor",
    "in_residue",
    "u_in_residue",
    "closure",
    "u_closure",
    "oxidant_excess / %",
    "reason",
];

/// A cell for a figure that may be missing.
pub(super) fn optional(value: Option<f64>) -> String {
    value.map_or_else(String::new, committed)
}

fn with_error(mut row: Vec<String>, value: &Measured) -> Vec<String> {
    row.push(committed(value.value()));
    row.push(committed(value.uncertainty()));
    row
}

fn with_outcome(row: Vec<String>, outcome: &Outcome) -> Vec<String> {
    match outcome {
        Ok(value) => with_error(row, value),
        Err(_) => {
            let mut row = row;
            row.extend([String::new(), String::new()]);
            row
        }
    }
}

fn yields(analysis: &Analysis) -> Vec<Vec<String>> {
    analysis
        .runs
        .results
        .iter()
        .filter(|run| run.gross.is_ok() || run.theory_fresh.is_ok())
        .map(|run| {
            let mut row = vec![
                csv(&run.run),
                run.date.as_deref().map_or_else(String::new, csv),
                run.lot.as_deref().map_or_else(String::new, csv),
                run.set_aside.as_deref().map_or_else(String::new, csv),
            ];
            for outcome in [
                &run.gross,
                &run.assay_adjusted,
                &run.contained,
                &run.contained_fresh,
                &run.purity,
                &run.theory_fresh,
                &run.theory_total,
                &run.balance.crops,
                &run.balance.liquor,
                &run.balance.residue,
                &run.balance.closure,
            ] {
                row = with_outcome(row, outcome);
            }
            row.push(optional(run.oxidant_excess));
            row.push(
                run.contained
                    .as_ref()
                    .err()
                    .map_or_else(String::new, |r| csv(&no_result(r))),
            );
            row
        })
        .collect()
}

fn crops(analysis: &Analysis) -> Vec<Vec<String>> {
    analysis
        .runs
        .results
        .iter()
        .flat_map(|run| {
            run.crops.iter().map(|crop| {
                let row = with_error(vec![csv(&run.run), crop.crop.to_string()], &crop.mass);
                with_outcome(row, &crop.purity)
            })
        })
        .collect()
}

fn budgets(analysis: &Analysis) -> Vec<Vec<String>> {
    analysis
        .runs
        .results
        .iter()
        .flat_map(|run| {
            run.budget.iter().map(|share| {
                vec![
                    csv(&run.run),
                    csv(&share.source),
                    share.share.map_or_else(|| "not stated".into(), committed),
                ]
            })
        })
        .collect()
}

fn liquors(analysis: &Analysis) -> Vec<Vec<String>> {
    analysis
        .answers
        .liquors
        .iter()
        .flat_map(|liquors| &liquors.runs)
        .map(|liquor| {
            vec![
                csv(&liquor.run),
                liquor.crop.to_string(),
                committed(liquor.temperature),
                committed(liquor.volume),
                committed(liquor.dissolved),
                committed(liquor.uncertainty),
                optional(liquor.of_theory),
                committed(liquor.next_crop),
                optional(liquor.expected),
                committed(liquor.came),
            ]
        })
        .collect()
}

fn improvements(analysis: &Analysis) -> Vec<Vec<String>> {
    analysis
        .answers
        .budgets
        .iter()
        .flat_map(|budget| {
            budget.shares.iter().map(|share| {
                vec![
                    budget.lot.as_deref().map_or_else(|| "all".into(), csv),
                    budget.runs.to_string(),
                    committed(budget.uncertainty),
                    csv(&share.source),
                    share.share.map_or_else(|| "not stated".into(), committed),
                ]
            })
        })
        .collect()
}
