//! The tables of costs.
//!
//! In: costs. Out: [`Table`]s, run by run for CSV and kind by kind for the report.
//! This module never adds up a cost.

use crate::decide::{CampaignCost, CostKind, Costs};
use crate::measured::Measured;
use crate::report::print::cost_names::cost_kind;
use crate::report::print::{Cell, Columns, Table, with_unit};
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
    let value = |result: Option<&Measured>| result.map(Measured::value);
    let mut rows = Columns::of(costs.iter().flat_map(|costs| &costs.runs));
    rows.data("run", |of| &of.run);
    for kind in KINDS {
        rows.data(cost_kind(kind), |of| value(of.part(kind)))
            .in_unit(currency);
    }
    rows.data("total", |of| value(of.total.as_ref().ok()))
        .in_unit(currency);
    rows.data("contained", |of| value(of.contained.as_ref().ok()))
        .in_unit("g");
    rows.data("per_gram", |of| value(of.per_gram.as_ref().ok()))
        .in_unit(format!("{currency}/g"));
    rows.data("reason", |of| of.per_gram.as_ref().err().map(no_cost));
    rows.answer("What did each run cost?")
}

/// What all runs together were paid for.
pub fn of_campaign(costs: &Costs, campaign: &CampaignCost) -> Table {
    let money = |heading: &str| with_unit(heading, &costs.prices.currency);
    let total = campaign.total.value();
    let parts = campaign.parts.iter();
    let parts = parts.map(|part| (cost_kind(part.kind), part.cost.value()));
    let mut rows = Columns::of(parts.chain([("all that is counted", total)]));
    rows.words("what was paid for", |(name, _)| name);
    rows.figures(money("all runs"), |(_, cost)| Cell::fixed(cost, 2));
    rows.figures(money("a run"), |(_, cost)| {
        Cell::fixed(cost / campaign.runs as f64, 2)
    });
    rows.figures(money("a kg of contained product"), |(_, cost)| {
        Cell::fixed(cost / campaign.contained.value(), 2).times(1000.0)
    });
    rows.figures("share / %", |(_, cost)| {
        (total > 0.0).then(|| Cell::fixed(cost / total, 1).times(100.0))
    });
    rows.answer("What was paid for?")
}
