//! The tables of a model.
//!
//! In: a model, or what it says of the factors. Out: one [`Table`] a question, for report, terminal and CSV.
//! This module never fits and never judges.

use super::words::{chart_label, comparison, reading};
use crate::decide::Moves;
use crate::regression::{AdjustedMeans, At, FittedModel, OverFactor, ResponseScale};
use crate::report::print::aim_names::Called;
use crate::report::print::{Cell, Columns, Digits, Shown, Table, Value, plain, with_unit};
use crate::report::reasons::refusal;

/// The terms of a model.
pub fn terms(model: &FittedModel) -> Table {
    let (shown, unit) = match model.scale {
        ResponseScale::Plain => (Shown::of(&model.unit), model.unit.as_str()),
        ResponseScale::Logit => (Shown::of(""), "logit"),
    };
    let times = shown.value(1.0);
    let headed = |heading: &str| with_unit(heading, &shown.difference);
    let mut rows = Columns::of(&model.terms);
    rows.data("response", |_| &model.response);
    rows.data("unit", |_| unit);
    rows.words("term", |term| term.name.to_string()).key("term");
    rows.figures(headed("value"), |term| Cell::plain(term.value).times(times))
        .key("value");
    rows.figures(headed("standard error"), |term| {
        Cell::from(term.standard_error).times(times)
    })
    .key("u");
    rows.data("df", |term| term.degrees_of_freedom);
    rows.figures("t", |term| term.t).key("t");
    rows.figures("chance by luck", |term| term.p.map(Cell::Chance))
        .key("p");
    rows.figures(headed("interval"), |term| {
        let digits = Digits::Significant;
        let range = |ends| Cell::of(Value::Range { ends, digits });
        term.interval.map(|ends| range(ends).times(times))
    });
    rows.data("low", |term| term.interval.map(|ends| ends.low));
    rows.data("high", |term| term.interval.map(|ends| ends.high));
    rows.answer("What does the model hold?")
}

/// What going from one setting to another does.
pub fn effects(moves: &Moves, called: Called) -> Table {
    let shown = Shown::of(&moves.unit);
    let each = moves.effects.iter();
    let mut rows = Columns::of(each.map(|effect| (effect, effect.estimate.as_ref())));
    rows.data("response", |_| &moves.response);
    rows.data("unit", |_| &moves.unit);
    rows.words("going from one to the other", |(of, _)| {
        comparison(of, called)
    });
    rows.data("effect", |(of, _)| {
        format!("{}: {}", of.factor, chart_label(of))
    });
    rows.figures("change", |(_, estimate)| match estimate {
        Ok(estimate) => shown.change(estimate),
        Err(reason) => Cell::because(refusal(reason)),
    })
    .key("change");
    rows.data("u", |(_, estimate)| estimate.ok()?.standard_error);
    rows.data("low", |(_, estimate)| Some(estimate.ok()?.interval?.low));
    rows.data("high", |(_, estimate)| Some(estimate.ok()?.interval?.high));
    rows.figures("chance of as much by luck", |(_, estimate)| {
        estimate.ok()?.p.map(Cell::Chance)
    })
    .key("p");
    rows.words("reading", |(of, _)| reading(of.verdict))
        .key("reading");
    rows.answer("What moves it?")
}

/// What to expect at each level of one choice.
pub fn means(model: &FittedModel, means: &AdjustedMeans) -> Table {
    let shown = Shown::of(&model.unit);
    let each = means.levels.iter();
    let mut rows = Columns::of(each.map(|level| (level, level.mean.as_ref())));
    rows.data("response", |_| &model.response);
    rows.data("factor", |_| &means.factor);
    rows.words("level", |(of, _)| &of.level).key("level");
    rows.figures(format!("mean {}", model.response), |(_, mean)| match mean {
        Some(mean) => shown.mean(mean),
        None => Cell::because("cannot be told"),
    })
    .key("mean");
    rows.data("u", |(_, mean)| mean?.standard_error);
    rows.figures("interval of the mean", |(of, mean)| match mean {
        Some(mean) => shown.interval(mean.interval),
        None => Cell::because(of.reason.as_ref().map(refusal).unwrap_or_default()),
    });
    rows.data("low", |(_, mean)| Some(mean?.interval?.low));
    rows.data("high", |(_, mean)| Some(mean?.interval?.high));
    rows.answer("What to expect at each level?")
}

/// What to expect at each place of one factor.
pub fn over(model: &FittedModel, over: &OverFactor) -> Table {
    let shown = Shown::of(&model.unit);
    let each = over.means.iter();
    let mut rows = Columns::of(each.map(|mean| (&mean.at, mean.mean.as_ref())));
    rows.words(with_unit(&over.factor, &over.unit), |(at, _)| match at {
        At::Amount(amount) => plain(*amount),
        At::Level(level) => level.clone(),
    });
    rows.figures(format!("mean {}", model.response), |(_, mean)| match mean {
        Ok(mean) => shown.mean(mean),
        Err(reason) => Cell::because(refusal(reason)),
    });
    rows.figures("interval of the mean", |(_, mean)| match mean {
        Ok(mean) => shown.interval(mean.interval),
        Err(_) => Cell::because("cannot be told"),
    });
    rows.answer(format!(
        "How does {} go with {}?",
        model.response, over.factor
    ))
}

/// What to expect at each level of every choice.
pub fn all_means(model: &FittedModel) -> Table {
    Table::joined(model.adjusted_means.iter().map(|of| means(model, of)))
}

/// Whether each effect shows beside the others.
pub fn tests(model: &FittedModel) -> Table {
    let mut rows = Columns::of(&model.tests);
    rows.data("response", |_| &model.response);
    rows.words("effect, given the others", |test| test.name())
        .key("effect");
    rows.figures("degrees of freedom", |test| test.df).key("df");
    rows.figures("sum of squares", |test| test.ss).key("ss");
    rows.figures("F", |test| test.f).key("f");
    rows.figures("chance by luck", |test| test.p.map(Cell::Chance))
        .key("p");
    rows.answer("Which effects show?")
}
