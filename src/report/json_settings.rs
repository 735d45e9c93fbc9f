//! `settings` as JSON.
//!
//! In: the best settings, or what is missing for them. Out: values with full precision.
//! This module never rounds.

use serde_json::{Map, Value, json};

use super::json::interval;
use super::json_routes::{aim, figures, gaps};
use super::reasons::how_settled;
use crate::decide::{BestSettings, Gap, LimitBy, RangeEnd, Stop};
use crate::regression::{Setting, Settings};

/// `settings`: null without a model; where none can be recommended, `at` is null and `missing` says why.
pub fn settings(found: Option<&Result<BestSettings, Vec<Gap>>>) -> Value {
    match found {
        None => Value::Null,
        Some(Err(missing)) => json!({
            "at": null,
            "response": null,
            "chance_spec": null,
            "stopped_by": [],
            "missing": gaps(missing),
        }),
        Some(Ok(best)) => object(best),
    }
}

fn object(best: &BestSettings) -> Value {
    json!({
        "aim": aim(&best.aim),
        "at": at(&best.settings),
        "response": {
            "response": best.aim.of.name(),
            "unit": best.aim.unit,
            "value": best.mean.value,
            "u": best.mean.standard_error,
            "interval": interval(best.mean.interval),
            "new_run_interval": interval(best.new_run.interval),
            "too_good_by": best.flattery,
        },
        "chance_spec": best.chance_spec,
        "meets_spec": best.reaches,
        "stopped_by": best.stopped_by.iter().map(stop).collect::<Value>(),
        "present_best": best.present.as_ref().map(|present| json!({
            "run": present.run,
            "at": at(&present.settings),
            "same_settings": present.same,
            "response": figures(&present.mean),
            "gain": present.gain.as_ref().map(figures),
            "chance_better": present.chance_better,
        })),
        "verdict": how_settled(best.standing),
        "looked_at": best.looked_at,
        "left_aside": best.untold.iter().map(at).collect::<Value>(),
        "stationary": match &best.stationary {
            Ok(point) => json!({
                "at": at(&point.at),
                "amounts": point.amounts,
                "response": figures(&point.value),
                "kind": point.kind.to_string(),
                "eigenvalues": point.eigenvalues,
                "within_runs": point.within_runs,
            }),
            Err(reason) => json!({ "at": null, "reason": reason.to_string() }),
        },
        "missing": gaps(&best.gaps),
    })
}

/// One key a factor: a number for an amount, text for a level.
fn at(settings: &Settings) -> Value {
    let entries: Map<String, Value> = settings
        .iter()
        .map(|(factor, setting)| {
            let value = match setting {
                Setting::Amount(value) => json!(value),
                Setting::Level(level) => json!(level),
            };
            (factor.to_string(), value)
        })
        .collect();
    Value::Object(entries)
}

fn stop(stop: &Stop) -> Value {
    match stop {
        Stop::Limit {
            factor,
            unit,
            value,
            end,
            by,
        } => json!({
            "by": match by {
                LimitBy::Declared => "limit",
                LimitBy::Runs => "range of the runs",
            },
            "factor": factor,
            "unit": unit,
            "value": value,
            "end": match end {
                RangeEnd::Low => "low",
                RangeEnd::High => "high",
            },
        }),
        Stop::FarFromRuns { costs } => json!({ "by": "far from the runs", "costs": costs }),
        Stop::Specification { costs } => json!({ "by": "purity_spec", "costs": costs }),
        Stop::Never { settings, costs } => {
            json!({ "by": "never", "at": at(settings), "costs": costs })
        }
    }
}
