//! Planned runs of the log, which count when further ones are chosen.
//!
//! In: the planned rows, and the space in which runs may lie. Out: [`InTheLog`]: those that count, and doubts about the others.
//! This module never counts a run that lies outside of what may be planned.

use std::collections::BTreeSet;
use std::ops::Bound;

use crate::campaign::{Campaign, FactorPlan, LOT};
use crate::caveat::{Caveat, Doubt, NotCounted};
use crate::decide::plannable::{barred, is_varied};
use crate::regression::{Barred, PlanValues, Settings, Space};
use crate::runs::{PlannedRun, PlannedValue};

/// Part of the range of an amount by which weighing in may miss it; a planned charge is written with so many digits that it does
/// by far less.
const MISSED: f64 = 1e-3;

/// The planned runs of the log.
#[derive(Debug, Clone, Default)]
pub(super) struct InTheLog {
    /// Those that count.
    pub runs: Vec<Ready>,
    /// Doubts about those that do not.
    pub caveats: Vec<Caveat>,
}

/// A planned run that counts.
#[derive(Debug, Clone)]
pub(super) struct Ready {
    pub run: String,
    /// What further runs are chosen by: the factors of the model, and the lot.
    pub settings: Settings,
    /// All that its row says.
    all: Settings,
    /// What no further proposal is to be.
    alike: Barred,
}

impl InTheLog {
    /// The settings of the runs that count.
    pub fn settings(&self) -> Vec<Settings> {
        self.runs.iter().map(|run| run.settings.clone()).collect()
    }

    /// How many of them repeat another one.
    pub fn repeats(&self) -> usize {
        let all = self.runs.iter().map(|run| format!("{:?}", run.settings));
        self.runs.len() - all.collect::<BTreeSet<String>>().len()
    }

    /// The same space without the settings that are planned already.
    pub fn taken_out_of(&self, space: &Space) -> Space {
        let mut space = space.clone();
        let alike = self.runs.iter().map(|run| run.alike.clone());
        space.never.extend(alike);
        space
    }
}

/// Which planned runs count: those whose factors are all said and lie in the space.
pub(super) fn in_the_log(campaign: &Campaign, planned: &[PlannedRun], space: &Space) -> InTheLog {
    let never = barred(campaign);
    let mut found = InTheLog::default();
    for plan in planned {
        match ready(campaign, plan, space) {
            Ok(ready) if never.iter().any(|never| never.forbids(&ready.all)) => {
                found.refuse(&plan.run, NotCounted::Forbidden);
            }
            Ok(ready) => found.runs.push(ready),
            Err(why) => found.refuse(&plan.run, why),
        }
    }
    found
}

impl InTheLog {
    fn refuse(&mut self, run: &str, why: NotCounted) {
        let doubt = Doubt::PlannedNotCounted { why };
        self.caveats.push(Caveat::of_run(run, doubt));
    }
}

fn ready(campaign: &Campaign, plan: &PlannedRun, space: &Space) -> Result<Ready, NotCounted> {
    let mut ready = Ready {
        run: plan.run.clone(),
        settings: Settings::default(),
        all: Settings::default(),
        alike: Barred::default(),
    };
    for factor in &space.factors {
        let name = factor.name.as_str();
        let mut settings = plan.settings.iter();
        let said = settings.find(|(known, _)| known == name);
        let is_varied = is_varied(campaign, name);
        let outside = |value: String| NotCounted::Outside {
            factor: name.to_string(),
            value,
        };
        match (said.and_then(|(_, value)| value.as_ref()), &factor.values) {
            (Some(PlannedValue::Amount(value)), PlanValues::Amounts(amounts)) => {
                let ends = match is_varied {
                    true => ends_of(amounts),
                    // It is held where further runs are planned; in the log it may be anything within its limits.
                    false => declared_ends(campaign, name),
                };
                let within = within(ends, *value);
                let (near, slack) = within.ok_or_else(|| outside(value.to_string()))?;
                ready.all = ready.all.amount(name, near);
                if is_varied {
                    let ends = (Bound::Included(near - slack), Bound::Included(near + slack));
                    ready.settings = ready.settings.amount(name, near);
                    ready.alike = ready.alike.amounts(name, ends.0, ends.1);
                }
            }
            (Some(PlannedValue::Level(level)), PlanValues::Levels(levels)) => {
                ready.all = ready.all.level(name, level);
                if is_varied || name == LOT {
                    if !levels.contains(level) {
                        return Err(outside(level.clone()));
                    }
                    ready.settings = ready.settings.level(name, level);
                    ready.alike = ready.alike.level(name, level);
                }
            }
            _ if is_varied => {
                let factor = name.to_string();
                return Err(NotCounted::NotSaid { factor });
            }
            _ => {}
        }
    }
    Ok(ready)
}

fn ends_of(amounts: &[f64]) -> [f64; 2] {
    let low = amounts.iter().copied().fold(f64::INFINITY, f64::min);
    let high = amounts.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    [low, high]
}

/// Declared ends of an amount, without end where there are none.
fn declared_ends(campaign: &Campaign, name: &str) -> [f64; 2] {
    let [low, high] = campaign.factor(name).map_or([None; 2], FactorPlan::limits);
    let low = low.unwrap_or(f64::NEG_INFINITY);
    [low, high.unwrap_or(f64::INFINITY)]
}

/// The amount as it counts, and by how much another may miss it and be the same; `None` outside of its ends.
fn within([low, high]: [f64; 2], value: f64) -> Option<(f64, f64)> {
    let width = high - low;
    let slack = match width.is_finite() && width > 0.0 {
        true => MISSED * width,
        false => MISSED * value.abs(),
    };
    let near = value.max(low).min(high);
    ((value - near).abs() <= slack).then_some((near, slack))
}
