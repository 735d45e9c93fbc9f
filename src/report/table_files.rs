//! The tables of a report as files.
//!
//! In: an analysis. Out: each as a [`Table`] with the name of its file.
//! This module never decides what stands in a table.

use super::print::Table;
use super::{answers_table, costs, drift, effects, next, recycling, yields};
use crate::pipeline::Analysis;

/// All tables that have rows, each with the name of its file, which lacks its ending.
pub(super) fn tables(analysis: &Analysis) -> Vec<(&'static str, Table)> {
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
    let effects = Table::joined(
        found
            .moves
            .iter()
            .map(|of| effects::table::effects(of, &str::to_string)),
    );
    let files = [
        ("yields", yields),
        ("crops", yields::table::crops(runs)),
        (
            "crops-by-route",
            found
                .crops
                .as_ref()
                .map(costs::crops::each)
                .unwrap_or_default(),
        ),
        (
            "crops-sold",
            found
                .crops
                .as_ref()
                .map(costs::crops::ways)
                .unwrap_or_default(),
        ),
        ("uncertainty", yields::table::uncertainty_of_runs(runs)),
        ("liquors", liquors),
        (
            "second",
            yields::second::table(runs, analysis.coverage_factor()),
        ),
        (
            "what-to-improve",
            yields::table::improvements(&found.budgets, 0.0),
        ),
        ("titrants", yields::table::titrants(analysis)),
        ("terms", of_models(effects::table::terms)),
        ("effects", effects),
        ("adjusted-means", of_models(effects::table::all_means)),
        ("tests", of_models(effects::table::tests)),
        (
            "next-runs",
            next.map(|plan| next::table::runs(plan, &str::to_string))
                .unwrap_or_default(),
        ),
        ("costs", costs::table::of_runs(analysis.costs.as_ref())),
        (
            "residue-break-even",
            of_recycling(recycling::table::break_even),
        ),
        ("residue-cycles", of_recycling(recycling::table::cycles)),
        ("residue-shelf", recycling::table::shelf(runs, usize::MAX)),
        ("drift", drift::table::charts(&analysis.drift)),
        ("left-out", yields::table::left_out(&runs.left_out)),
        ("planned", yields::table::planned(runs)),
        ("superseded", yields::table::superseded(&runs.superseded)),
        ("doubts", yields::table::all_doubts(analysis)),
        ("answers", answers_table::answers(analysis)),
    ];
    let files = files.into_iter();
    files.filter(|(_, table)| !table.rows.is_empty()).collect()
}
