//! Which settings are best, and how sure is that?
//!
//! In: the aim, the limits, the models and the runs made. Out: [`BestSettings`], or [`Gap`]s that say why there are none.
//! This module never proposes settings outside the declared limits, never a combination that is forbidden, and none that
//! is less certain than the least certain of the runs made.

mod contours;
mod judge;
mod map;
mod present;
mod region;
mod search;
mod stops;

pub use contours::Contour;
pub use map::{LinePoint, SettingsLine, SettingsMap, amount_of};
pub use present::Present;
pub use region::{AmountRange, LimitBy};
pub use stops::{RangeEnd, Stop};

use super::aimed::{Aimed, Gap, HowSettled, aimed, gaps};
use super::models::ModelSet;
use crate::campaign::Campaign;
use crate::regression::{Estimate, NewRun, NoStationary, Setting, Settings, Stationary};
use crate::runs::{FactorValues, Runs};
use judge::{Demand, Judge};
use present::{flattery, made, moved_down, present};
use region::Region;
use search::{Found, Grid, grid};

/// The best settings that may be proposed.
#[derive(Debug, Clone)]
pub struct BestSettings {
    /// What "best" means.
    pub aim: Aimed,
    /// Each factor with its setting, in the order of the model.
    pub at: Vec<Chosen>,
    /// The same as the models take it.
    pub settings: Settings,
    /// Mean response there, as estimated.
    pub mean: Estimate,
    /// Where one new run there would fall.
    pub new_run: NewRun,
    /// Chance that the true purity of a new run there meets the specification.
    pub chance_spec: Option<f64>,
    /// Whether that is the chance asked for; None where no purity is asked. If not, these are the settings nearest to it.
    pub reaches: Option<bool>,
    /// What kept the settings from being better.
    pub stopped_by: Vec<Stop>,
    /// The best of the runs made, and the settings against it.
    pub present: Option<Present>,
    /// Whether the settings beat the best of the runs made.
    pub standing: HowSettled,
    /// By how much the estimate is too good on average, because it is the best of many, in the unit of the response.
    pub flattery: Option<f64>,
    /// How many settings were looked at.
    pub looked_at: usize,
    /// Combinations of levels that the runs cannot tell, and that were left aside.
    pub untold: Vec<Settings>,
    /// The response over the two amounts that matter most.
    pub map: Option<SettingsMap>,
    /// The response over the only amount.
    pub line: Option<SettingsLine>,
    /// Where the response surface stands still, the choices at their best.
    pub stationary: Result<Stationary, NoStationary>,
    /// The runs made, for the map.
    pub made: Vec<Settings>,
    /// What is missing, and what is answered without it.
    pub gaps: Vec<Gap>,
}

/// One factor at its best setting.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// The factor.
    pub factor: String,
    /// Its unit; empty for a choice.
    pub unit: String,
    /// The setting.
    pub value: Setting,
}

/// The best settings, None without a model.
pub(super) fn settings(
    campaign: &Campaign,
    runs: &Runs,
    models: &ModelSet,
    seed: u64,
) -> Option<Result<BestSettings, Vec<Gap>>> {
    campaign.model.as_ref()?;
    let aim = aimed(campaign, models);
    let mut missing = gaps(&aim, models);
    let names = region::names(campaign);
    let model = models.model(&aim.of);
    let made = model.map_or_else(Vec::new, |model| made(runs, model, &names));
    let places: Vec<Settings> = made.iter().map(|made| made.settings.clone()).collect();
    let Some(judge) = Judge::new(&aim, models, &places) else {
        return Some(Err(missing));
    };
    let region = region::region(campaign, runs, &mut missing);
    if names.is_empty() {
        missing.push(Gap::NoFactor);
        return Some(Err(missing));
    }
    let all = grid(&region, &region.levels, &judge, seed);
    let Some(best) = chosen(&all, &region, &judge) else {
        missing.push(Gap::CannotBeTold(aim.of.clone()));
        return Some(Err(missing));
    };
    let Ok((mean, new_run)) = judge.goal.estimate(&best.found.settings).and_then(|mean| {
        let new_run = judge.goal.new_run_interval(&best.found.settings)?;
        Ok((mean, new_run))
    }) else {
        missing.push(Gap::CannotBeTold(aim.of.clone()));
        return Some(Err(missing));
    };
    let settings = best.found.settings.clone();
    let flattery = flattery(&all, &judge, &best.found, seed);
    let present = present(&made, &region, &judge, &settings, seed);
    let standing = match (best.reaches, &present) {
        (Some(false), _) | (_, None) => HowSettled::NotSettled,
        // There is nothing better than what was done already.
        (_, Some(present)) if present.same => HowSettled::Alike,
        (_, Some(present)) => {
            let by = flattery.unwrap_or(0.0);
            let gain = present.gain.as_ref().and_then(|gain| moved_down(gain, by));
            HowSettled::of(gain, aim.margin)
        }
    };
    let forbidden = grid(&region, &region.forbidden, &judge, seed);
    let stopped_by = match best.reaches {
        Some(false) => Vec::new(),
        _ => stops::stops(
            &best.found,
            &all,
            &forbidden,
            &region,
            &judge,
            mean.standard_error,
        ),
    };
    let good_within = aim
        .margin
        .or(mean.interval.map(|ends| (ends.high - ends.low) / 2.0))
        .unwrap_or(0.0);
    Some(Ok(BestSettings {
        at: listed(&names, runs, &settings),
        chance_spec: judge.chance(&settings),
        reaches: best.reaches,
        stopped_by,
        standing,
        present,
        flattery,
        looked_at: all.looked_at,
        untold: all.untold,
        map: map::map(&region, &judge, &settings, good_within),
        line: map::line(&region, &judge, &settings),
        stationary: judge.goal.stationary_point(&settings),
        made: places,
        gaps: missing,
        settings,
        mean,
        new_run,
        aim,
    }))
}

/// The settings found, and whether they meet the specification.
struct Choice {
    found: Found,
    reaches: Option<bool>,
}

/// The best settings that meet all demands; where none do, those with the largest chance of meeting the specification.
fn chosen(all: &Grid, region: &Region, judge: &Judge) -> Option<Choice> {
    let asked = judge.specification.is_some();
    if let Some(found) = all.refined(region, judge) {
        return Some(Choice {
            found,
            reaches: asked.then_some(true),
        });
    }
    let near = all
        .found
        .iter()
        .filter(|found| judge.meets(&found.settings, Demand::AnyPurity));
    near.filter_map(|found| Some((judge.chance(&found.settings)?, found)))
        .fold(None, |best: Option<(f64, &Found)>, next| match best {
            Some(other) if other.0 >= next.0 => Some(other),
            _ => Some(next),
        })
        .map(|(_, found)| Choice {
            found: found.clone(),
            reaches: Some(false),
        })
}

fn listed(names: &[String], runs: &Runs, settings: &Settings) -> Vec<Chosen> {
    names
        .iter()
        .filter_map(|name| {
            let column = runs.factors.iter().find(|column| column.name == *name)?;
            Some(Chosen {
                factor: name.clone(),
                unit: match column.values {
                    FactorValues::Amount(_) => column.unit.clone(),
                    FactorValues::Choice { .. } => String::new(),
                },
                value: settings.get(name)?.clone(),
            })
        })
        .collect()
}
