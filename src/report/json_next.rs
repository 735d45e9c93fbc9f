//! A plan of further runs as JSON.
//!
//! In: [`NextRuns`]. Out: values with numbers as they are.
//! This module never rounds, and never plans a run.

use serde_json::{Map, Value, json};

use super::next_words::{MASSES, masses, reason, reason_kind};
use super::reasons::compared;
use crate::decide::{NextRun, NextRuns, Reason};
use crate::error::Error;
use crate::regression::{Setting, Settings};

/// `next_runs`: one object a run, in the order of making; null where nothing can be planned.
pub fn next_runs(planned: Option<&Result<NextRuns, Error>>) -> Value {
    match planned {
        Some(Ok(plan)) => plan.runs.iter().map(|one| run(plan, one)).collect(),
        _ => Value::Null,
    }
}

/// `next_runs_for`: what the plan is for and what it would bring, or the reason why there is none.
pub fn brings(planned: Option<&Result<NextRuns, Error>>) -> Value {
    match planned {
        None => json!({ "reason": "there is no model" }),
        Some(Err(error)) => json!({ "reason": error.message(), "hint": error.advice() }),
        Some(Ok(plan)) => json!({
            "response": plan.response,
            "separated": plan.separated,
            "still_tangled": plan.still_tangled,
            "d_efficiency": plan.efficiency,
            "widths": plan.widths.iter().map(|width| json!({
                "response": width.response,
                "unit": width.unit,
                "about": compared(&width.about),
                "before": width.before,
                "after": width.after,
            })).collect::<Value>(),
            "power": plan.power.iter().map(|power| json!({
                "response": power.response,
                "about": compared(&power.about),
                "margin": power.margin,
                "before": power.before,
                "after": power.after,
            })).collect::<Value>(),
            "caveats": super::json::caveats(&plan.caveats),
        }),
    }
}

fn run(plan: &NextRuns, run: &NextRun) -> Value {
    let about: Value = match &run.reason {
        Reason::Separate(terms) => json!(terms),
        Reason::Settle(about) => json!([compared(about)]),
        Reason::Repeat | Reason::Confirm | Reason::Cover => json!([]),
    };
    let weigh: Map<String, Value> = MASSES
        .iter()
        .zip(masses(run))
        .filter_map(|(name, mass)| Some((name.to_string(), json!(mass?))))
        .collect();
    json!({
        "order": run.order,
        "reason": reason(plan, run),
        "kind": reason_kind(&run.reason),
        "about": about,
        "settings": settings(&run.settings),
        "lot": run.lot,
        "weigh": weigh,
    })
}

/// Names with numbers and levels.
fn settings(settings: &Settings) -> Value {
    let entries = settings.iter().map(|(name, setting)| {
        let value = match setting {
            Setting::Amount(value) => json!(value),
            Setting::Level(level) => json!(level),
        };
        (name.to_string(), value)
    });
    Value::Object(entries.collect())
}
