//! What kept the best settings from being better.
//!
//! In: the best settings, the grids, the region and a judge. Out: [`Stop`]s.
//! This module never reports a demand that costs nothing.

use super::how_good::{Demand, Judge};
use super::region::{AmountRange, LimitBy, Region, SAME_PLACE};
use super::search::{Found, Grid};
use crate::decide::aim::RangeEnd;
use crate::regression::{Setting, Settings};

/// How far beyond a limit it is looked whether the response would go on, as a share of the range.
const BEYOND: f64 = 1e-3;
/// What a demand costs is told from this share of the standard error of the best mean on.
const WORTH_TELLING: f64 = 0.1;

/// Something that kept the settings from being better.
#[derive(Debug, Clone, PartialEq)]
pub enum Stop {
    /// An amount stands at the end of its range, and the response would go on beyond it.
    Limit {
        /// The amount.
        factor: String,
        /// Its unit.
        unit: String,
        /// The value at the end.
        value: f64,
        /// Which end.
        end: RangeEnd,
        /// Whether it was declared or is that of the runs made.
        by: LimitBy,
    },
    /// Better settings lie too far from the runs made.
    FarFromRuns {
        /// How much better they are expected to be, in the unit of the response.
        costs: f64,
    },
    /// Better settings would miss the specification too often.
    Specification {
        /// How much better they are expected to be, in the unit of the response.
        costs: f64,
    },
    /// A combination that is never to be proposed would be better.
    Never {
        /// Its levels, and the amounts that are forbidden with them.
        settings: Settings,
        /// How much better it is expected to be, in the unit of the response.
        costs: f64,
    },
}

/// What kept the settings from being better; `error` is the standard error of the mean there.
pub(super) fn stops(
    best: &Found,
    grid: &Grid,
    forbidden: &Grid,
    region: &Region,
    judge: &Judge,
    error: Option<f64>,
) -> Vec<Stop> {
    let ends = |range| [RangeEnd::Low, RangeEnd::High].map(|end| at_limit(best, range, end, judge));
    let mut stops: Vec<Stop> = region.amounts.iter().flat_map(ends).flatten().collect();
    let worth = WORTH_TELLING * error.unwrap_or(0.0);
    let better = |found: Option<&Found>| {
        let costs = found?.gain - best.gain;
        (costs > worth).then_some(costs)
    };
    let far = better(grid.best(judge, Demand::AnyDistance));
    stops.extend(far.map(|costs| Stop::FarFromRuns { costs }));
    if judge.specification.is_some() {
        let impure = better(grid.best(judge, Demand::AnyPurity));
        stops.extend(impure.map(|costs| Stop::Specification { costs }));
    }
    let never = forbidden.best(judge, Demand::All);
    stops.extend(never.zip(better(never)).map(|(found, costs)| {
        let by = region.forbidding(&found.settings);
        let is_told = |factor: &str, setting: &Setting| {
            matches!(setting, Setting::Level(_)) || by.is_some_and(|never| never.names(factor))
        };
        Stop::Never {
            settings: found.settings.only(is_told),
            costs,
        }
    }));
    stops
}

fn at_limit(best: &Found, range: &AmountRange, end: RangeEnd, judge: &Judge) -> Option<Stop> {
    let value = best.settings.amount_of(&range.factor)?;
    let span = range.high - range.low;
    let (limit, sign, by) = match end {
        RangeEnd::Low => (range.low, -1.0, range.low_by),
        RangeEnd::High => (range.high, 1.0, range.high_by),
    };
    if (value - limit).abs() > SAME_PLACE * span {
        return None;
    }
    let beyond = limit + sign * BEYOND * span;
    let beyond = best.settings.clone().amount(&range.factor, beyond);
    (judge.gain(&beyond)? > best.gain).then(|| Stop::Limit {
        factor: range.factor.clone(),
        unit: range.unit.clone(),
        value: limit,
        end,
        by,
    })
}
