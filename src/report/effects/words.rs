//! Question 3 in words: what moves a response.
//!
//! In: effects and what cannot be told apart. Out: the answer, and clauses about one effect, names as they were logged.
//! This module never calls an unseen effect absent.

use crate::decide::{Comparison, Effect, Verdict};
use crate::regression::{FittedModel, Settings};
use crate::report::print::aim_names::{Called, unit};
use crate::report::print::{Shown, around, plain, plus_minus};

/// What can be said of a model without a single effect that can be told.
pub fn nothing_varied(model: Option<&FittedModel>, shown: &Shown) -> String {
    let Some(model) = model.filter(|model| model.not_separable.is_empty()) else {
        return "Nothing that was varied can be told apart.".into();
    };
    let mean = model.estimate(&Settings::default()).ok();
    match mean.and_then(|mean| Some((mean.value, mean.interval?))) {
        Some((value, ends)) => {
            let half = shown.value((ends.high - ends.low) / 2.0);
            let mean = plus_minus(shown.value(value), half);
            format!(
                "The model has no factor. The mean is {mean} {}.",
                shown.unit
            )
        }
        None => "Nothing that was varied can be told apart.".into(),
    }
}

/// `10 to 60 %`, with the unit of the factor.
fn span(unit_of: &str, from: f64, to: f64) -> String {
    let unit = unit(unit_of);
    format!("{} to {}{unit}", plain(from), plain(to))
}

/// `heating: hob against muffle`, `oxidant_excess from 10 to 60 %`.
pub fn comparison(effect: &Effect, called: Called) -> String {
    compared(&effect.factor, &effect.unit, &effect.comparison, called)
}

/// The same of a factor and its unit.
pub fn compared(factor: &str, unit_of: &str, comparison: &Comparison, called: Called) -> String {
    let factor = called(factor);
    match comparison {
        Comparison::Level { level, against } => format!("{factor}: {level} against {against}"),
        Comparison::Span { from, to, at } => {
            let place = at
                .as_ref()
                .map(|at| format!("{} {}", called(&at.factor), at.level));
            let place = around(" with ", &place.unwrap_or_default(), "");
            format!("{factor} from {}{place}", span(unit_of, *from, *to))
        }
    }
}

/// The label of an effect in a chart; names stay raw, the chart makes them harmless.
pub fn chart_label(effect: &Effect) -> String {
    match &effect.comparison {
        Comparison::Level { level, against } => format!("{level} against {against}"),
        Comparison::Span { from, to, at } => {
            let place = at.as_ref().map(|at| format!(", {}", at.level));
            span(&effect.unit, *from, *to) + &place.unwrap_or_default()
        }
    }
}

/// Name by which a section knows the picture of a response over a factor.
pub fn picture_over(response: &str, factor: &str) -> String {
    format!("over-{response}-{factor}")
}

/// Name by which a section knows the picture of all pairs of levels.
pub fn picture_of_pairs(response: &str) -> String {
    format!("pairs-{response}")
}

/// What can be said of an effect, for a table.
pub fn reading(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Raises => "raises it",
        Verdict::Lowers => "lowers it",
        Verdict::Negligible => "too small to matter",
        Verdict::NotSeen => "not seen in this log, not ruled out",
        Verdict::CannotBeTold => "cannot be told",
    }
}
