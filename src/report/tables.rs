//! The tables of a report as files.
//!
//! In: an analysis. Out: [`TableFile`]s: every figure with ten significant digits, units in the headings.
//! This module never decides what stands in a table.

use super::cost_tables;
use super::drift_section;
use super::model_tables;
use super::next_tables;
use super::print::csv;
use super::print::table::Table;
use super::recycle_tables;
use super::run_tables;
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
            run_tables::yields(runs, analysis.confidence(), worked_out),
        ),
        ("crops.csv", run_tables::crops(runs)),
        ("uncertainty.csv", run_tables::uncertainty_of_runs(runs)),
        (
            "liquors.csv",
            run_tables::liquors(liquors, analysis.coverage_factor()),
        ),
        (
            "what-to-improve.csv",
            run_tables::improvements(answers.budgets.iter(), 0.0),
        ),
        ("titrants.csv", run_tables::titrants(analysis)),
        ("terms.csv", of_models(model_tables::terms)),
        (
            "effects.csv",
            Table::joined(answers.moves.iter().map(model_tables::effects)),
        ),
        ("adjusted-means.csv", of_models(model_tables::all_means)),
        ("tests.csv", of_models(model_tables::tests)),
        (
            "next-runs.csv",
            next.map(next_tables::runs).unwrap_or_default(),
        ),
        ("costs.csv", cost_tables::of_runs(analysis.costs.as_ref())),
        (
            "residue-break-even.csv",
            recycling
                .map(recycle_tables::break_even)
                .unwrap_or_default(),
        ),
        (
            "residue-cycles.csv",
            recycling.map(recycle_tables::cycles).unwrap_or_default(),
        ),
        ("drift.csv", drift_section::table(&analysis.drift)),
        ("left-out.csv", run_tables::left_out(&runs.left_out)),
        ("doubts.csv", run_tables::all_doubts(analysis)),
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
