//! Changes between two results in words.
//!
//! In: what the history compares. Out: texts of one line without Markdown, with every name as it is.
//! This module never compares anything itself.

use crate::history::{Compared, Decided, Estimated, FlaggedPoint, OfRoute, Says, Verdict};
use crate::report::effects::words::compared;
use crate::report::print::joined;

/// A verdict as question and answer.
pub fn verdict_in_words(verdict: &Verdict) -> String {
    format!("{}: {}", decided(&verdict.about), says(&verdict.says))
}

/// What a verdict is about.
pub fn decided(about: &Decided) -> String {
    match about {
        Decided::BestRoute => "best route".into(),
        Decided::Residue => "feeding residue forward".into(),
        Decided::BestSettings => "best settings".into(),
        Decided::Level(Compared {
            response,
            factor,
            level,
            against,
        }) => format!("{response} with {factor}: {level} against {against}"),
        Decided::Amount { response, amount } => format!("{response} with more {amount}"),
        Decided::Margin(Compared {
            response,
            factor,
            level,
            against,
        }) => format!("{response} with {factor}: {level} and {against}, by the margin"),
        Decided::Apart { response, terms } => {
            let terms = joined(terms.iter().map(ToString::to_string), " and ");
            format!("{response}: {terms}")
        }
    }
}

/// What a verdict says.
pub fn says(says: &Says) -> String {
    let text = match says {
        Says::Settled(chosen) if !chosen.is_empty() => {
            let parts = chosen.iter().map(|choice| match &choice.factor {
                Some(factor) => format!("{factor}: {}", choice.level),
                None => choice.level.clone(),
            });
            return format!("settled for {}", joined(parts, " and "));
        }
        Says::Settled(_) => "settled",
        Says::Alike => "alike",
        Says::NotSettled => "not settled",
        Says::Pays => "pays",
        Says::DoesNotPay => "does not pay",
        Says::Higher => "higher",
        Says::Lower => "lower",
        Says::Rises => "rises",
        Says::Falls => "falls",
        Says::NotToldFromZero => "not told from zero",
        Says::NotKnown => "not known",
        Says::Different => "different",
        Says::CannotBeToldApart => "cannot be told apart",
    };
    text.to_string()
}

/// What an estimate is of.
pub fn estimated(about: &Estimated) -> String {
    match about {
        Estimated::Mean {
            response,
            factor,
            level,
        } => format!("adjusted mean of {response} with {factor}: {level}"),
        Estimated::Overall { response } => format!("mean of {response}"),
        Estimated::Change {
            response,
            factor,
            unit,
            comparison,
        } => format!(
            "change of {response} by {}",
            compared(factor, unit, comparison, &str::to_string)
        ),
        Estimated::OfRoute { what, route } => {
            let what = match what {
                OfRoute::Yield => "yield",
                OfRoute::Purity => "purity",
                OfRoute::Cost => "cost",
                OfRoute::Labour => "labour",
            };
            format!("{what} of route {route}")
        }
        Estimated::Gain => "gain of feeding residue forward, per run".into(),
        Estimated::AtBest { response } => format!("{response} at the best settings"),
        Estimated::Titrant { titrant } => format!("concentration of titrant {titrant}"),
    }
}

/// A point that a control chart flags.
pub fn flagged(point: &FlaggedPoint) -> String {
    let chart = match point.chart.as_str() {
        "individuals" => "single values",
        "ewma" => "weighted mean",
        "cusum" => "cumulative sums",
        other => other,
    };
    format!("{}, {chart}, {}", point.response, point.run)
}
