//! The tables of question 7.
//!
//! In: the plan of further runs. Out: one [`Table`] a question, for report, terminal and CSV.
//! This module never plans a run.

use super::words::{MASSES, any_lot, factors, masses, reason, reason_kind};
use crate::decide::NextRuns;
use crate::regression::Setting;
use crate::report::print::{Cell, Column, Says, Shown, Table, Value};
use crate::report::reasons::compared;

/// The runs to make, in their order.
pub fn runs(plan: &NextRuns) -> Table {
    let names = factors(plan);
    let says_lot = Says::something_if(|| any_lot(plan));
    let mut columns = vec![
        Column::figures("order").key("order"),
        Column::data("reason"),
        Column::data("about"),
        Column::words("lot").key("lot").when(says_lot),
    ];
    columns.extend(names.iter().map(|name| Column::words(name).key(name)));
    columns.extend(MASSES.iter().enumerate().map(|(mass, name)| {
        let mut runs = plan.runs.iter();
        let says_mass = Says::something_if(|| runs.any(|run| masses(run)[mass].is_some()));
        let column = Column::figures(*name).unit("g").when(says_mass);
        column.key_in(*name, "g")
    }));
    columns.push(Column::words("what it is for"));
    let rows = plan.runs.iter().map(|run| {
        let about = Cell::text(reason(plan, run));
        let mut row = vec![
            Cell::Count(run.order),
            Cell::text(reason_kind(&run.reason)),
            about.clone(),
            Cell::named(run.lot.as_deref()),
        ];
        row.extend(names.iter().map(|name| match run.settings.get(name) {
            Some(Setting::Amount(value)) => Cell::plain(*value),
            Some(Setting::Level(level)) => Cell::text(level),
            None => Cell::named(None),
        }));
        let weighed = |mass: Option<f64>| {
            let mass = mass.map(|mass| Cell::fixed(mass, 0));
            mass.unwrap_or_else(Cell::missing)
        };
        row.extend(masses(run).map(weighed));
        row.push(about);
        row
    });
    Table::new("Which runs should be made next?", columns).with(rows)
}

/// How well open differences are known, and would be.
pub fn widths(plan: &NextRuns) -> Table {
    let columns = vec![
        Column::words("response"),
        Column::words("difference"),
        Column::figures("now"),
        Column::figures("after these runs"),
        Column::words("unit"),
    ];
    let rows = plan.widths.iter().map(|width| {
        let shown = Shown::raw(&width.unit);
        let half = |half: Option<f64>| match half {
            Some(half) => Cell::of(Value::HalfWidth(half)).times(shown.value(1.0)),
            None => Cell::because("cannot be told"),
        };
        vec![
            Cell::text(&width.response),
            Cell::text(compared(&width.about)),
            half(width.before),
            half(width.after),
            Cell::text(&shown.difference),
        ]
    });
    Table::new("How well would open differences be known?", columns).with(rows)
}

/// How likely a difference that matters is seen.
pub fn power(plan: &NextRuns) -> Table {
    let columns = vec![
        Column::words("response"),
        Column::words("difference"),
        Column::figures("that matters"),
        Column::figures("chance to see it now"),
        Column::figures("after these runs"),
    ];
    let chance = |chance: Option<f64>| match chance {
        Some(chance) => Cell::Chance(chance),
        None => Cell::because("cannot be told"),
    };
    let rows = plan.power.iter().map(|power| {
        let mut widths = plan.widths.iter();
        let of = widths.find(|width| width.response == power.response);
        let shown = Shown::raw(of.map_or("", |width| &width.unit));
        vec![
            Cell::text(&power.response),
            Cell::text(compared(&power.about)),
            Cell::plain(power.margin)
                .times(shown.value(1.0))
                .in_unit(&shown.difference),
            chance(power.before),
            chance(power.after),
        ]
    });
    Table::new("Would a difference that matters be seen?", columns).with(rows)
}
