//! The best settings as data.
//!
//! In: the best settings, or what is missing for them. Out: what stands under `settings`.
//! This module never rounds.

use serde_json::{Value, json};

use super::figures::{ends, figures, gaps};
use super::of_routes::aim;
use crate::decide::{BestSettings, Gap, LimitBy, RangeEnd, Stop};
use crate::report::reasons::no_stationary;
use crate::result;

/// None without a model; where none can be recommended, `at` is null and `missing` says why.
pub fn settings(found: Option<&Result<BestSettings, Vec<Gap>>>) -> Option<result::Settings> {
    Some(match found? {
        Err(missing) => result::Settings::Missing(json!({
            "at": null,
            "response": null,
            "chance_spec": null,
            "stopped_by": [],
            "missing": gaps(missing),
        })),
        Ok(found) => result::Settings::Best(Box::new(best(found))),
    })
}

fn best(best: &BestSettings) -> result::Best {
    let present = best.present.as_ref().map(|present| {
        json!({
            "run": present.run,
            "at": present.settings,
            "same_settings": present.same,
            "response": figures(&present.mean),
            "gain": present.gain.as_ref().map(figures),
            "chance_better": present.chance_better,
        })
    });
    let stationary = match &best.stationary {
        Ok(point) => json!({
            "at": point.at,
            "amounts": point.amounts,
            "response": figures(&point.value),
            "kind": point.kind.to_string(),
            "eigenvalues": point.eigenvalues,
            "within_runs": point.within_runs,
        }),
        Err(reason) => json!({ "at": null, "reason": no_stationary(reason) }),
    };
    result::Best {
        aim: aim(&best.aim),
        at: best.settings.clone(),
        response: result::Expected {
            response: best.aim.of.name().into(),
            unit: best.aim.unit.clone(),
            value: best.mean.value,
            u: best.mean.standard_error,
            interval: ends(best.mean.interval),
            new_run_interval: ends(best.new_run.interval),
            too_good_by: best.flattery.as_ref().ok().copied(),
        },
        beside: json!({
            "chance_spec": best.chance_spec,
            "meets_spec": best.reaches,
            "stopped_by": best.stopped_by.iter().map(stop).collect::<Value>(),
            "present_best": present,
        }),
        verdict: best.standing,
        more: json!({
            "looked_at": best.looked_at,
            "left_aside": best.untold,
            "stationary": stationary,
            "missing": gaps(&best.gaps),
        }),
    }
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
            json!({ "by": "never", "at": settings, "costs": costs })
        }
    }
}
