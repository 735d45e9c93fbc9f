//! What each run cost, and where residue stops paying, as rows of a table.
//!
//! In: an analysis. Out: rows with ten significant digits.
//! This module never writes a sentence.

use super::escape::csv;
use super::json_money::shown_scale;
use super::money_words::{cost_kind, figure_key, never};
use super::numbers::committed;
use super::reasons::no_cost;
use crate::decide::CostKind;
use crate::pipeline::Analysis;

/// All kinds of cost, in the order of the columns.
const KINDS: [CostKind; 7] = [
    CostKind::Feed,
    CostKind::Oxidant,
    CostKind::Reagents,
    CostKind::Heat,
    CostKind::Labour,
    CostKind::ResidueHandling,
    CostKind::Disposal,
];

/// Headings of the costs of the runs.
pub(super) fn cost_headings(analysis: &Analysis) -> Vec<String> {
    let currency = analysis
        .costs
        .as_ref()
        .map_or_else(String::new, |costs| csv(&costs.prices.currency));
    let mut headings = vec!["run".to_string()];
    headings.extend(KINDS.map(|kind| format!("{} / {currency}", cost_kind(kind))));
    headings.push(format!("total / {currency}"));
    headings.push("contained / g".into());
    headings.push(format!("per_gram / {currency}/g"));
    headings.push("reason".into());
    headings
}

/// One row a run; an empty cell where nothing is counted.
pub(super) fn costs(analysis: &Analysis) -> Vec<Vec<String>> {
    let runs = analysis.costs.iter().flat_map(|costs| &costs.runs);
    runs.map(|run| {
        let number = |value: Option<f64>| value.map_or_else(String::new, committed);
        let mut row = vec![csv(&run.run)];
        row.extend(KINDS.map(|kind| number(run.part(kind).map(|cost| cost.value()))));
        let (total, contained) = (run.total.as_ref().ok(), run.contained.as_ref().ok());
        for outcome in [total, contained, run.per_gram.as_ref().ok()] {
            row.push(number(outcome.map(|value| value.value())));
        }
        row.push(
            run.per_gram
                .as_ref()
                .err()
                .map_or_else(String::new, |why| csv(&no_cost(why))),
        );
        row
    })
    .collect()
}

/// Where the verdict on residue flips, one row a figure, in the units of the JSON.
pub(super) fn break_even(analysis: &Analysis) -> Vec<Vec<String>> {
    let Ok(recycling) = &analysis.answers.recycling else {
        return Vec::new();
    };
    let money = recycling.money.iter();
    money
        .flat_map(|money| &money.break_even)
        .map(|at| {
            let scale = shown_scale(at.figure, recycling.reference.content_per_assay);
            let number = |value: Option<f64>| {
                value.map_or_else(String::new, |value| committed(value * scale))
            };
            vec![
                figure_key(at.figure).to_string(),
                number(Some(at.now)),
                number(at.at.ok()),
                number(at.low),
                number(at.high),
                at.at
                    .err()
                    .map_or_else(String::new, |why| never(why).into()),
            ]
        })
        .collect()
}

/// The loop over cycles, one row a cycle.
pub(super) fn cycles(analysis: &Analysis) -> Vec<Vec<String>> {
    let recycling = analysis.answers.recycling.iter();
    recycling
        .filter_map(|recycling| recycling.cycles.as_ref().ok())
        .flat_map(|cycles| &cycles.cycles)
        .map(|cycle| {
            vec![
                cycle.cycle.to_string(),
                committed(cycle.residue),
                committed(cycle.assay),
                committed(cycle.solids),
                cycle
                    .gain
                    .map_or_else(String::new, |gain| committed(gain.value)),
                cycle
                    .gain
                    .map_or_else(String::new, |gain| committed(gain.half_width)),
            ]
        })
        .collect()
}
