//! The nine answers as a table, for data alone.
//!
//! In: an analysis. Out: a row a figure, or one for an answer without figures.
//! This module never decides where an answer stands.

use serde_json::json;

use super::answer_words::{key, status};
use super::headlines::headline;
use super::print::escape::raw;
use super::print::{Columns, Table, plain};
use crate::decide::Comparison;
use crate::pipeline::Analysis;

/// What each answer rests on, with its status and headline.
pub(super) fn answers(analysis: &Analysis) -> Table {
    let answers = analysis.answers.iter();
    let rows = answers.flat_map(|answer| {
        let none = answer.figures.is_empty().then_some((answer, None));
        let figures = answer
            .figures
            .iter()
            .map(move |figure| (answer, Some(figure)));
        none.into_iter().chain(figures)
    });
    let mut rows = Columns::of(rows);
    rows.data("question", |(answer, _)| key(analysis, &answer.question));
    rows.data("status", |(answer, _)| status(answer.status));
    rows.data("headline", |(answer, _)| headline(analysis, answer, raw));
    rows.data("what", |(_, figure)| {
        let what = figure.map(|figure| json!(figure.what));
        what.and_then(|what| what.as_str().map(str::to_string))
            .unwrap_or_default()
    });
    rows.data("about", |(_, figure)| {
        figure.map_or("", |figure| &figure.about)
    });
    rows.data("compared", |(_, figure)| {
        let compared = figure.and_then(|figure| figure.compared.as_ref());
        compared.map(compared_in_short).unwrap_or_default()
    });
    rows.data("value", |(_, figure)| figure.map(|figure| figure.value));
    rows.data("low", |(_, figure)| Some(figure?.interval?[0]));
    rows.data("high", |(_, figure)| Some(figure?.interval?[1]));
    rows.data("unit", |(_, figure)| {
        figure.map_or("", |figure| &figure.unit)
    });
    rows.answer("What do the answers rest on?")
}

fn compared_in_short(compared: &Comparison) -> String {
    match compared {
        Comparison::Level { level, against } => format!("{level} against {against}"),
        Comparison::Span { from, to, at } => {
            let at = at
                .as_ref()
                .map(|at| format!(" with {} {}", at.factor, at.level));
            format!(
                "{} to {}{}",
                plain(*from),
                plain(*to),
                at.unwrap_or_default()
            )
        }
    }
}
