//! The tables of costs.
//!
//! In: costs. Out: [`Table`]s, run by run for CSV and kind by kind for the report.
//! This module never adds up a cost.

use crate::decide::{CampaignCost, CostKind, Costs};
use crate::measured::Measured;
use crate::report::print::money_words::cost_kind;
use crate::report::print::{Cell, Column, Table};
use crate::report::reasons::no_cost;

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

/// What each run cost; an empty cell where nothing is counted.
pub fn of_runs(costs: Option<&Costs>) -> Table {
    let currency = costs.map_or("", |costs| &costs.prices.currency);
    let mut columns = vec![Column::data("run")];
    columns.extend(KINDS.map(|kind| Column::data_in(cost_kind(kind), currency)));
    columns.extend([
        Column::data_in("total", currency),
        Column::data_in("contained", "g"),
        Column::data_in("per_gram", format!("{currency}/g")),
        Column::data("reason"),
    ]);
    let rows = costs.iter().flat_map(|costs| &costs.runs).map(|run| {
        let mut row = vec![Cell::text(&run.run)];
        row.extend(KINDS.map(|kind| Cell::plain_if(run.part(kind).map(Measured::value))));
        let results = [
            run.total.as_ref().ok(),
            run.contained.as_ref().ok(),
            run.per_gram.as_ref().ok(),
        ];
        row.extend(results.map(|result| Cell::plain_if(result.map(Measured::value))));
        row.push(Cell::named(
            run.per_gram.as_ref().err().map(no_cost).as_deref(),
        ));
        row
    });
    Table::new("What did each run cost?", columns).with(rows)
}

/// What all runs together were paid for.
pub fn of_campaign(costs: &Costs, campaign: &CampaignCost) -> Table {
    let currency = &costs.prices.currency;
    let columns = vec![
        Column::words("what was paid for"),
        Column::figures("all runs").unit(currency),
        Column::figures("a run").unit(currency),
        Column::figures("a kg of contained product").unit(currency),
        Column::figures("share").unit("%"),
    ];
    let total = campaign.total.value();
    let row = |name: &str, cost: &Measured| {
        let share = match total > 0.0 {
            true => Cell::fixed(cost.value() / total, 1).times(100.0),
            false => Cell::missing(),
        };
        vec![
            Cell::text(name),
            Cell::fixed(cost.value(), 2),
            Cell::fixed(cost.value() / campaign.runs as f64, 2),
            Cell::fixed(cost.value() / campaign.contained.value(), 2).times(1000.0),
            share,
        ]
    };
    let parts = campaign.parts.iter();
    Table::new("What was paid for?", columns)
        .with(parts.map(|part| row(cost_kind(part.kind), &part.cost)))
        .with([row("all that is counted", &campaign.total)])
}
