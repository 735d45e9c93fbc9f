//! A plan of further runs as data.
//!
//! In: [`NextRuns`]. Out: what stands under `next_runs` and `next_runs_for`.
//! This module never rounds, and never plans a run.

use serde_json::{Map, Value, json};

use super::figures::caveats;
use crate::decide::{NextRun, NextRuns, Reason};
use crate::error::Error;
use crate::report::next::words::{MASSES, masses, reason, reason_kind};
use crate::report::print::untold_terms::written;
use crate::report::reasons::{compared, no_forecast};

/// One entry a run, in the order of making; null where nothing can be planned.
pub fn next_runs(plan: Option<&NextRuns>) -> Value {
    plan.map_or(Value::Null, |plan| {
        plan.runs.iter().map(|one| run(plan, one)).collect()
    })
}

/// The runs log that runs were added to, and their names there.
pub fn appended(log: &str, names: &[String]) -> Value {
    json!({ "file": log, "runs": names })
}

/// What the plan is for and what it would bring, or the reason why there is none.
pub(super) fn brings(planned: Option<&Result<NextRuns, Error>>) -> Value {
    match planned {
        None => json!({ "reason": "there is no model" }),
        Some(Err(error)) => json!({ "reason": error.message(), "hint": error.advice() }),
        Some(Ok(plan)) => brought(plan),
    }
}

/// What a plan is for and what it would bring.
pub fn brought(plan: &NextRuns) -> Value {
    let widths = plan.widths.iter().map(|width| {
        json!({
            "response": width.response,
            "unit": width.unit,
            "about": compared(&width.about),
            "before": width.before,
            "after": width.after.ok(),
            "reason": width.after.err().map(|why| no_forecast(&why)),
        })
    });
    let power = plan.power.iter().map(|power| {
        json!({
            "response": power.response,
            "about": compared(&power.about),
            "margin": power.margin,
            "before": power.before.ok(),
            "after": power.after.ok(),
            "reason": power.after.err().map(|why| no_forecast(&why)),
        })
    });
    json!({
        "response": plan.response,
        "in_the_log": plan.in_the_log,
        "separated": written(&plan.separated),
        "still_tangled": written(&plan.still_tangled),
        "d_efficiency": plan.efficiency,
        "widths": widths.collect::<Value>(),
        "power": power.collect::<Value>(),
        "caveats": caveats(&plan.caveats),
    })
}

fn run(plan: &NextRuns, run: &NextRun) -> Value {
    let weigh = MASSES.iter().zip(masses(run));
    let weigh = weigh.filter_map(|(name, mass)| Some((name.to_string(), json!(mass?))));
    json!({
        "order": run.order,
        "reason": reason(plan, run, &str::to_string),
        "kind": reason_kind(&run.reason),
        "about": match &run.reason {
            Reason::Separate(terms) => written(terms),
            Reason::Settle(about) => vec![compared(about)],
            Reason::Repeat | Reason::Confirm | Reason::Cover => Vec::new(),
        },
        "settings": run.settings,
        "lot": run.lot,
        "weigh": weigh.collect::<Map<String, Value>>(),
    })
}
