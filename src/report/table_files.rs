//! The tables of a report as files.
//!
//! In: an analysis. Out: CSV: every figure with ten significant digits, units in the headings.
//! This module never decides what stands in a table.

use super::print::{Table, csv};
use super::{costs, drift, effects, next, recycling, yields};
use crate::pipeline::Analysis;

/// All tables that have rows, each as the name of its file and its text.
pub(super) fn tables(analysis: &Analysis) -> Vec<(&'static str, String)> {
    let runs = &analysis.runs;
    let worked_out = runs.results.iter();
    let worked_out = worked_out.filter(|run| run.gross.is_ok() || run.theory_fresh.is_ok());
    let yields = yields::table::yields(runs, analysis.confidence(), worked_out);
    let found = &analysis.findings;
    let liquors = found.liquors.iter().flat_map(|liquors| &liquors.runs);
    let liquors = yields::table::liquors(liquors, analysis.coverage_factor());
    let recycling = found.recycling.as_ref().ok();
    let of_recycling = |table: fn(&_) -> Table| recycling.map(table).unwrap_or_default();
    let next = analysis.next.as_ref().and_then(|plan| plan.as_ref().ok());
    let of_models = |table: fn(&_) -> Table| Table::joined(analysis.models.models().map(table));
    let effects = Table::joined(found.moves.iter().map(effects::table::effects));
    let files = [
        ("yields.csv", yields),
        ("crops.csv", yields::table::crops(runs)),
        ("uncertainty.csv", yields::table::uncertainty_of_runs(runs)),
        ("liquors.csv", liquors),
        (
            "what-to-improve.csv",
            yields::table::improvements(&found.budgets, 0.0),
        ),
        ("titrants.csv", yields::table::titrants(analysis)),
        ("terms.csv", of_models(effects::table::terms)),
        ("effects.csv", effects),
        ("adjusted-means.csv", of_models(effects::table::all_means)),
        ("tests.csv", of_models(effects::table::tests)),
        (
            "next-runs.csv",
            next.map(next::table::runs).unwrap_or_default(),
        ),
        ("costs.csv", costs::table::of_runs(analysis.costs.as_ref())),
        (
            "residue-break-even.csv",
            of_recycling(recycling::table::break_even),
        ),
        ("residue-cycles.csv", of_recycling(recycling::table::cycles)),
        ("drift.csv", drift::table::charts(&analysis.drift)),
        ("left-out.csv", yields::table::left_out(&runs.left_out)),
        ("planned.csv", yields::table::planned(runs)),
        (
            "superseded.csv",
            yields::table::superseded(&runs.superseded),
        ),
        ("doubts.csv", yields::table::all_doubts(analysis)),
    ];
    let with_rows = files
        .into_iter()
        .filter(|(_, table)| !table.rows.is_empty());
    with_rows
        .map(|(file, table)| (file, csv::table(&table)))
        .collect()
}
