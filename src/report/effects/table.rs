//! The tables of a model.
//!
//! In: a model, or what it says of the factors. Out: one [`Table`] a question, for report, terminal and CSV.
//! This module never fits and never judges.

use super::words::{chart_label, comparison, reading};
use crate::decide::Moves;
use crate::regression::{AdjustedMeans, FittedModel, Interval, ResponseScale};
use crate::report::print::{Cell, Column, Digits, Shown, Table, Value, raw};
use crate::report::reasons::refusal;

/// The terms of a model.
pub fn terms(model: &FittedModel) -> Table {
    let shown = match model.scale {
        ResponseScale::Plain => Shown::raw(&model.unit),
        ResponseScale::Logit => Shown::raw(""),
    };
    let (times, unit) = (shown.value(1.0), &shown.difference);
    let columns = vec![
        Column::data("response"),
        Column::data("unit"),
        Column::words("term").key("term"),
        Column::figures("value").unit(unit).key("value"),
        Column::figures("standard error").unit(unit).key("u"),
        Column::data("df"),
        Column::figures("t").key("t"),
        Column::figures("chance by luck").key("p"),
        Column::figures("interval").unit(unit),
        Column::data("low"),
        Column::data("high"),
    ];
    let unit = match model.scale {
        ResponseScale::Plain => &model.unit,
        ResponseScale::Logit => "logit",
    };
    let rows = model.terms.iter().map(|term| {
        let interval = term.interval.map_or_else(Cell::missing, |ends| {
            Cell::of(Value::Range {
                low: ends.low,
                high: ends.high,
                digits: Digits::Significant,
            })
            .times(times)
        });
        let mut row = vec![
            Cell::text(&model.response),
            Cell::text(unit),
            Cell::text(term.name.to_string()),
            Cell::plain(term.value).times(times),
            Cell::plain_if(term.standard_error).times(times),
            Cell::plain(term.degrees_of_freedom),
            Cell::plain_if(term.t),
            Cell::chance(term.p),
            interval,
        ];
        row.extend(ends(term.interval));
        row
    });
    Table::new("What does the model hold?", columns).with(rows)
}

fn ends(interval: Option<Interval>) -> [Cell; 2] {
    [
        Cell::plain_if(interval.map(|ends| ends.low)),
        Cell::plain_if(interval.map(|ends| ends.high)),
    ]
}

/// What going from one setting to another does.
pub fn effects(moves: &Moves) -> Table {
    let columns = vec![
        Column::data("response"),
        Column::data("unit"),
        Column::words("going from one to the other"),
        Column::data("effect"),
        Column::figures("change").key("change"),
        Column::data("u"),
        Column::data("low"),
        Column::data("high"),
        Column::figures("chance of as much by luck").key("p"),
        Column::words("reading").key("reading"),
    ];
    let shown = Shown::raw(&moves.unit);
    let rows = moves.effects.iter().map(|effect| {
        let estimate = effect.estimate.as_ref().ok();
        let change = match &effect.estimate {
            Ok(estimate) => shown.change_cell(estimate),
            Err(reason) => Cell::because(refusal(reason)),
        };
        let mut row = vec![
            Cell::text(&moves.response),
            Cell::text(&moves.unit),
            Cell::text(comparison(effect, raw)),
            Cell::text(format!("{}: {}", effect.factor, chart_label(effect))),
            change,
            Cell::plain_if(estimate.and_then(|e| e.standard_error)),
        ];
        row.extend(ends(estimate.and_then(|e| e.interval)));
        row.extend([
            Cell::chance(estimate.and_then(|e| e.p)),
            Cell::text(reading(effect.verdict)),
        ]);
        row
    });
    Table::new("What moves it?", columns).with(rows)
}

/// What to expect at each level of one choice.
pub fn means(model: &FittedModel, means: &AdjustedMeans) -> Table {
    let columns = vec![
        Column::data("response"),
        Column::data("factor"),
        Column::words("level").key("level"),
        Column::figures(format!("mean {}", model.response)).key("mean"),
        Column::data("u"),
        Column::figures("interval of the mean"),
        Column::data("low"),
        Column::data("high"),
    ];
    let shown = Shown::raw(&model.unit);
    let rows = means.levels.iter().map(|level| {
        let mean = level.mean.as_ref();
        let (value, range) = match mean {
            Some(mean) => (shown.mean_cell(mean), shown.interval_cell(mean.interval)),
            None => {
                let reason = level.reason.as_ref().map(refusal);
                let reason = Cell::because(reason.unwrap_or_default());
                (Cell::because("cannot be told"), reason)
            }
        };
        let mut row = vec![
            Cell::text(&model.response),
            Cell::text(&means.factor),
            Cell::text(&level.level),
            value,
            Cell::plain_if(mean.and_then(|m| m.standard_error)),
            range,
        ];
        row.extend(ends(mean.and_then(|m| m.interval)));
        row
    });
    Table::new("What to expect at each level?", columns).with(rows)
}

/// What to expect at each level of every choice.
pub fn all_means(model: &FittedModel) -> Table {
    Table::joined(model.adjusted_means.iter().map(|of| means(model, of)))
}

/// Whether each effect shows beside the others.
pub fn tests(model: &FittedModel) -> Table {
    let columns = vec![
        Column::data("response"),
        Column::words("effect, given the others").key("effect"),
        Column::figures("degrees of freedom").key("df"),
        Column::figures("sum of squares").key("ss"),
        Column::figures("F").key("f"),
        Column::figures("chance by luck").key("p"),
    ];
    let rows = model.tests.iter().map(|test| {
        vec![
            Cell::text(&model.response),
            Cell::text(test.name()),
            Cell::Count(test.df),
            Cell::plain(test.ss),
            Cell::plain_if(test.f),
            Cell::chance(test.p),
        ]
    });
    Table::new("Which effects show?", columns).with(rows)
}
