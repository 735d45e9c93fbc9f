//! The tables of a report as files.
//!
//! In: an analysis. Out: [`TableFile`]s: every figure with ten significant digits, units in the headings.
//! This module never decides what stands in a table.

use super::print::{Table, csv};
use super::{costs, drift, effects, given, next, recycling};
use crate::pipeline::Analysis;

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
    let runs = &analysis.runs;
    let worked_out = runs
        .results
        .iter()
        .filter(|run| run.gross.is_ok() || run.theory_fresh.is_ok());
    let answers = &analysis.findings;
    let liquors = answers.liquors.iter().flat_map(|liquors| &liquors.runs);
    let recycling = answers.recycling.as_ref().ok();
    let next = analysis.next.as_ref().and_then(|plan| plan.as_ref().ok());
    let of_models = |table: fn(&_) -> Table| Table::joined(analysis.models.models().map(table));
    let files: Vec<(&'static str, Table)> = vec![
        (
            "yields.csv",
            given::table::yields(runs, analysis.confidence(), worked_out),
        ),
        ("crops.csv", given::table::crops(runs)),
        ("uncertainty.csv", given::table::uncertainty_of_runs(runs)),
        (
            "liquors.csv",
            given::table::liquors(liquors, analysis.coverage_factor()),
        ),
        (
            "what-to-improve.csv",
            given::table::improvements(answers.budgets.iter(), 0.0),
        ),
        ("titrants.csv", given::table::titrants(analysis)),
        ("terms.csv", of_models(effects::table::terms)),
        (
            "effects.csv",
            Table::joined(answers.moves.iter().map(effects::table::effects)),
        ),
        ("adjusted-means.csv", of_models(effects::table::all_means)),
        ("tests.csv", of_models(effects::table::tests)),
        (
            "next-runs.csv",
            next.map(next::table::runs).unwrap_or_default(),
        ),
        ("costs.csv", costs::table::of_runs(analysis.costs.as_ref())),
        (
            "residue-break-even.csv",
            recycling
                .map(recycling::table::break_even)
                .unwrap_or_default(),
        ),
        (
            "residue-cycles.csv",
            recycling.map(recycling::table::cycles).unwrap_or_default(),
        ),
        ("drift.csv", drift::table::charts(&analysis.drift)),
        ("left-out.csv", given::table::left_out(&runs.left_out)),
        ("doubts.csv", given::table::all_doubts(analysis)),
    ];
    let with_rows = files
        .into_iter()
        .filter(|(_, table)| !table.rows.is_empty());
    with_rows
        .map(|(file, table)| TableFile {
            file,
            text: csv::table(&table),
        })
        .collect()
}
