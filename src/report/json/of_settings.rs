//! The best settings as data.
//!
//! In: the best settings, or what is missing for them. Out: what stands under `settings`.
//! This module never rounds.

use super::of_routes::{aim, gaps};
use super::{ends, figures, standing};
use crate::decide::{BestSettings, Gap, LimitBy, RangeEnd, Stop};
use crate::regression::{Setting, Settings};
use crate::report::reasons::no_stationary;
use crate::result::{self, SettingsAt, Standing};

/// None without a model; where none can be recommended, `at` is null and `missing` says why.
pub fn settings(found: Option<&Result<BestSettings, Vec<Gap>>>) -> Option<result::Settings> {
    Some(match found? {
        Err(missing) => result::Settings::Missing {
            at: None,
            response: None,
            chance_spec: None,
            stopped_by: Vec::new(),
            missing: gaps(missing),
        },
        Ok(found) => result::Settings::Best(Box::new(best(found))),
    })
}

fn best(best: &BestSettings) -> result::Best {
    result::Best {
        aim: aim(&best.aim),
        at: at(&best.settings),
        response: result::Expected {
            response: best.aim.of.name().into(),
            unit: best.aim.unit.clone(),
            value: best.mean.value,
            u: best.mean.standard_error,
            interval: ends(best.mean.interval),
            new_run_interval: ends(best.new_run.interval),
            too_good_by: best.flattery,
        },
        chance_spec: best.chance_spec,
        meets_spec: best.reaches,
        stopped_by: best.stopped_by.iter().map(stop).collect(),
        present_best: best.present.as_ref().map(|present| result::Present {
            run: present.run.clone(),
            at: at(&present.settings),
            same_settings: present.same,
            response: figures(&present.mean),
            gain: present.gain.as_ref().map(figures),
            chance_better: present.chance_better,
        }),
        verdict: standing(best.standing),
        looked_at: best.looked_at,
        left_aside: best.untold.iter().map(at).collect(),
        stationary: match &best.stationary {
            Ok(point) => Standing::Point {
                at: at(&point.at),
                amounts: point.amounts.clone(),
                response: figures(&point.value),
                kind: point.kind.to_string(),
                eigenvalues: point.eigenvalues.clone(),
                within_runs: point.within_runs,
            },
            Err(reason) => Standing::Nowhere {
                at: None,
                reason: no_stationary(reason),
            },
        },
        missing: gaps(&best.gaps),
    }
}

/// One key a factor: a number for an amount, text for a level.
pub(super) fn at(settings: &Settings) -> SettingsAt {
    let entries = settings.iter().map(|(factor, setting)| {
        let value = match setting {
            Setting::Amount(value) => result::Setting::Amount(*value),
            Setting::Level(level) => result::Setting::Level(level.clone()),
        };
        (factor.to_string(), value)
    });
    entries.collect()
}

fn stop(stop: &Stop) -> result::Stop {
    match stop {
        Stop::Limit {
            factor,
            unit,
            value,
            end,
            by,
        } => result::Stop::Limit {
            by: match by {
                LimitBy::Declared => "limit",
                LimitBy::Runs => "range of the runs",
            },
            factor: factor.clone(),
            unit: unit.clone(),
            value: *value,
            end: match end {
                RangeEnd::Low => "low",
                RangeEnd::High => "high",
            },
        },
        Stop::FarFromRuns { costs } => result::Stop::Cost {
            by: "far from the runs",
            costs: *costs,
        },
        Stop::Specification { costs } => result::Stop::Cost {
            by: "purity_spec",
            costs: *costs,
        },
        Stop::Never { settings, costs } => result::Stop::Never {
            by: "never",
            at: at(settings),
            costs: *costs,
        },
    }
}
