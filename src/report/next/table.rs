//! The tables of question 7.
//!
//! In: the plan of further runs. Out: one [`Table`] a question, for report, terminal and CSV.
//! This module never plans a run.

use super::words::{MASSES, factors, masses, reason, reason_kind};
use crate::decide::NextRuns;
use crate::regression::{NoForecast, Setting};
use crate::report::print::aim_names::Called;
use crate::report::print::{Cell, Columns, Shown, Table, Value};
use crate::report::reasons::compared_as;

/// The runs to make, in their order.
pub fn runs(plan: &NextRuns, called: Called) -> Table {
    let mut rows = Columns::of(&plan.runs);
    rows.figures("order", |run| run.order).key("order");
    rows.data("reason", |run| reason_kind(&run.reason));
    rows.data("about", |run| reason(plan, run, &str::to_string));
    rows.words("lot", |run| run.lot.clone().unwrap_or_default())
        .key("lot")
        .when(plan.runs.iter().any(|run| run.lot.is_some()));
    for name in factors(plan) {
        rows.words(&name, |run| match run.settings.get(&name) {
            Some(Setting::Amount(value)) => Cell::plain(*value),
            Some(Setting::Level(level)) => Cell::text(level),
            None => Cell::text(""),
        })
        .key(&name);
    }
    for (mass, name) in MASSES.iter().enumerate() {
        rows.figures(format!("{name} / g"), |run| {
            masses(run)[mass].map(|mass| Cell::fixed(mass, 0))
        })
        .key(*name)
        .in_unit("g")
        .when(plan.runs.iter().any(|run| masses(run)[mass].is_some()));
    }
    rows.words("what it is for", |run| reason(plan, run, called));
    rows.answer("Which runs should be made next?")
}

/// How well open differences are known, and would be.
pub fn widths(plan: &NextRuns, called: Called) -> Table {
    let half = |half: Result<f64, NoForecast>, unit: &str| match half {
        Ok(half) => Cell::of(Value::HalfWidth(half)).times(Shown::of(unit).value(1.0)),
        Err(why) => none(why),
    };
    let mut rows = Columns::of(&plan.widths);
    rows.words("response", |width| &width.response);
    rows.words("difference", |width| compared_as(&width.about, called));
    rows.figures("now", |width| {
        let before = width.before.ok_or(NoForecast::CannotBeTold);
        half(before, &width.unit)
    });
    rows.figures("after these runs", |width| half(width.after, &width.unit));
    rows.words("unit", |width| Shown::of(&width.unit).difference);
    rows.answer("How well would open differences be known?")
}

/// A cell without a forecast.
fn none(why: NoForecast) -> Cell {
    Cell::because(match why {
        NoForecast::CannotBeTold => "cannot be told",
        NoForecast::ScatterUnknown { .. } => "too little is known",
    })
}

/// How likely a difference that matters is seen.
pub fn power(plan: &NextRuns, called: Called) -> Table {
    let chance = |chance: Result<f64, NoForecast>| chance.map_or_else(none, Cell::Chance);
    let mut rows = Columns::of(&plan.power);
    rows.words("response", |power| &power.response);
    rows.words("difference", |power| compared_as(&power.about, called));
    rows.figures("that matters", |power| {
        let mut widths = plan.widths.iter();
        let of = widths.find(|width| width.response == power.response);
        let shown = Shown::of(of.map_or("", |width| &width.unit));
        let margin = Cell::plain(power.margin).times(shown.value(1.0));
        margin.in_unit(&shown.difference)
    });
    rows.figures("chance to see it now", |power| chance(power.before));
    rows.figures("after these runs", |power| chance(power.after));
    rows.answer("Would a difference that matters be seen?")
}
