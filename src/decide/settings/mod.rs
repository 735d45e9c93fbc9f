//! The best settings, and how sure that is.
//!
//! In: the aim, the limits, the models and the runs made. Out: [`BestSettings`], or [`Gap`]s that say why there are none.
//! This module never proposes settings outside the declared limits, never a combination that is forbidden, and none that
//! is less certain than the least certain of the runs made.

mod best_so_far;
mod contours;
mod how_good;
mod map;
mod region;
mod search;
mod stops;

pub use best_so_far::Present;
pub use contours::Contour;
pub use map::{LinePoint, SettingsLine, SettingsMap};
pub use region::{AmountRange, LimitBy};
pub use stops::Stop;

use super::aim::{Aimed, Gap, HowSettled, aimed, gaps};
use super::evidence::Material;
use crate::regression::{
    Estimate, NewRun, NoStationary, NotCorrected, Setting, Settings, Stationary,
};
use crate::runs::Runs;
use best_so_far::{Told, made, told};
use how_good::Judge;
use search::{Which, chosen, grid};

/// The best settings that may be proposed.
#[derive(Debug, Clone)]
pub struct BestSettings {
    /// What "best" means.
    pub aim: Aimed,
    /// Each factor with its setting, in the order of the model.
    pub at: Vec<Chosen>,
    /// The same as the models take it.
    pub settings: Settings,
    /// Mean response there, without the luck of being the best of many, see [`Self::flattery`].
    pub mean: Estimate,
    /// Where one new run there would fall, likewise.
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
    /// By how much the mean of the fit is too good on average, because it is the best of many, in the unit of the response;
    /// taken off all figures already. Where it is not known, they are those of the fit.
    pub flattery: Result<f64, NotCorrected>,
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
pub(super) fn settings(material: &Material) -> Option<Result<BestSettings, Vec<Gap>>> {
    material.campaign.model.as_ref()?;
    let mut missing = Vec::new();
    Some(best(material, &mut missing).ok_or(missing))
}

/// The best settings with what is missing; what is missing alone, where that leaves no answer.
fn best(material: &Material, missing: &mut Vec<Gap>) -> Option<BestSettings> {
    let Material {
        campaign,
        runs,
        models,
        seed,
        ..
    } = *material;
    let aim = aimed(campaign, models);
    missing.extend(gaps(&aim, models));
    let names = region::names(campaign);
    let made = made(runs, models.model(&aim.of)?, &names);
    let places: Vec<Settings> = made.iter().map(|made| made.settings.clone()).collect();
    let judge = Judge::new(&aim, models, &places)?;
    let region = region::region(campaign, runs, missing);
    if names.is_empty() {
        missing.push(Gap::NoFactor);
        return None;
    }
    let all = grid(&region, Which::Allowed, &judge, seed);
    let best = chosen(&all, &region, &judge).and_then(|best| {
        let told = told(&made, &region, &judge, &all, &best, seed)?;
        Some((best, told))
    });
    let Some((best, told)) = best else {
        missing.push(match all.all_forbidden {
            true => Gap::AllForbidden,
            false => Gap::CannotBeTold(aim.of.clone()),
        });
        return None;
    };
    let Told {
        mean,
        new_run,
        flattery,
        present,
    } = told;
    let (found, reaches) = (best.found, best.reaches);
    let settings = found.settings.clone();
    let standing = match (reaches, &present) {
        (Some(false), _) | (_, None) => HowSettled::NotSettled,
        // There is nothing better than what was done already.
        (_, Some(present)) if present.same => HowSettled::Alike,
        (_, Some(present)) => {
            let gain = present.gain.as_ref().and_then(|gain| gain.interval);
            HowSettled::of(gain, aim.margin)
        }
    };
    let stopped_by = match reaches {
        Some(false) => Vec::new(),
        _ => {
            let forbidden = grid(&region, Which::Forbidden, &judge, seed);
            let error = mean.standard_error;
            stops::stops(&found, &all, &forbidden, &region, &judge, error)
        }
    };
    let half_width = mean.interval.map(|ends| (ends.high - ends.low) / 2.0);
    let good_within = aim.margin.or(half_width).unwrap_or(0.0);
    Some(BestSettings {
        at: listed(&names, runs, &settings),
        chance_spec: judge.chance(&settings),
        reaches,
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
        gaps: std::mem::take(missing),
        settings,
        mean,
        new_run,
        aim,
    })
}

fn listed(names: &[String], runs: &Runs, settings: &Settings) -> Vec<Chosen> {
    let chosen = names.iter().filter_map(|name| {
        Some(Chosen {
            factor: name.clone(),
            unit: runs.factor(name)?.unit.clone(),
            value: settings.get(name)?.clone(),
        })
    });
    chosen.collect()
}
