//! The best that was done so far, and whether the new settings beat it.
//!
//! In: the settings of the runs made, the best settings found, and those that they were chosen from. Out: [`Told`]: what to
//! expect at the best settings, and [`Present`], both without the luck of having been chosen.
//! This module never compares with settings that may no longer be proposed.

use super::how_good::{Demand, Judge};
use super::region::Region;
use super::search::{Choice, Found, Grid};
use crate::decide::aim::{Direction, first_largest};
use crate::decide::models::runs_of;
use crate::regression::{
    BestOfMany, Choosing, Estimate, FittedModel, NewRun, NotCorrected, Settings, Toward,
};
use crate::runs::{FactorColumn, Runs};
use crate::seeded::{Seeded, stream};

/// Most settings that stand for all of a search, evenly from the best to the worst.
const MOST_RIVALS: usize = 400;

/// The best settings of the runs made, and the new ones against them.
#[derive(Debug, Clone)]
pub struct Present {
    /// First run with these settings.
    pub run: String,
    /// The settings.
    pub settings: Settings,
    /// Whether these are the best settings themselves.
    pub same: bool,
    /// Mean response there, without the luck of being the best of the runs.
    pub mean: Estimate,
    /// How much better the new settings are expected to be, positive for the better, the luck of both choices taken off;
    /// None for the same settings, and where too little is known of that luck.
    pub gain: Option<Estimate>,
    /// By how much the gain of the fit is too good, taken off already; zero where there is no gain.
    pub flattery: f64,
    /// Chance that the new settings are better; None likewise.
    pub chance_better: Option<f64>,
}

/// What is to be expected at the best settings.
pub(super) struct Told {
    pub mean: Estimate,
    pub new_run: NewRun,
    /// By how much the mean of the fit is too good, which is taken off already.
    pub flattery: Result<f64, NotCorrected>,
    pub present: Option<Present>,
}

/// A run with its settings.
#[derive(Debug, Clone)]
pub(super) struct Made {
    pub run: String,
    pub settings: Settings,
}

/// The settings of the runs that a model uses.
pub(super) fn made(runs: &Runs, model: &FittedModel, names: &[String]) -> Vec<Made> {
    let is_asked = |column: &&FactorColumn| names.contains(&column.name);
    let columns = || runs.factors.iter().filter(is_asked);
    let used = runs_of(model, runs).into_iter();
    let used = used.map(|(position, run)| Made {
        run: run.run.clone(),
        settings: columns().fold(Settings::default(), |settings, column| {
            match (column.amount(position), column.level(position)) {
                (Some(value), _) => settings.amount(&column.name, value),
                (_, Some(level)) => settings.level(&column.name, level),
                (None, None) => settings,
            }
        }),
    });
    used.collect()
}

/// What the models expect at the best settings and at the best of the runs made that still may be proposed.
///
/// Both were chosen by the runs that also say how good they are, so that the luck of the choice is taken off; settings that
/// were not chosen for being good, because none meet the specification, have none.
pub(super) fn told(
    made: &[Made],
    region: &Region,
    judge: &Judge,
    all: &Grid,
    best: &Choice,
    seed: u64,
) -> Option<Told> {
    let (model, settings) = (judge.goal, &best.found.settings);
    let may_be = made.iter().filter(|made| region.holds(&made.settings));
    let may_be = may_be.filter(|made| judge.meets(&made.settings, Demand::AnyDistance));
    let may_be: Vec<&Made> = may_be.collect();
    let ranked = may_be.iter();
    let ranked = ranked.filter_map(|made| Some((judge.gain(&made.settings)?, *made)));
    let found = first_largest(ranked, |(gain, _)| *gain).map(|(_, made)| made);
    let same = found.is_some_and(|found| region.is_same(settings, &found.settings));
    let corrected = || {
        let may_be: Vec<Settings> = may_be.iter().map(|of| of.settings.clone()).collect();
        let choosing = Choosing {
            toward: match judge.aim.direction {
                Direction::Up => Toward::Larger,
                Direction::Down => Toward::Smaller,
            },
            chosen: settings,
            among: &rivals(all, judge, &best.found),
            rival: found.map(|found| &found.settings).filter(|_| !same),
            rival_among: &may_be,
        };
        let mut seeded = Seeded::stream(seed, stream::FLATTERY_OF_SEARCH);
        model.best_of_many(&choosing, &mut seeded)
    };
    let corrected = (best.reaches != Some(false)).then(corrected);
    let (figures, flattery) = match corrected {
        Some(Ok(figures)) => {
            let by = figures.too_good_by;
            (figures, Ok(by))
        }
        None => (as_fitted(model, settings)?, Ok(0.0)),
        Some(Err(why)) => (as_fitted(model, settings)?, Err(why)),
    };
    let BestOfMany {
        mean,
        new_run,
        against,
        ..
    } = figures;
    let present = found.and_then(|found| {
        let lead = against.filter(|_| !same);
        let at_present = match (&lead, same) {
            (Some(lead), _) => lead.mean.clone(),
            (None, true) => mean.clone(),
            (None, false) => model.estimate(&found.settings).ok()?,
        };
        // In a perfect fit nothing is left to luck.
        let plain = (!same && flattery == Err(NotCorrected::Perfect)).then(|| {
            let (one, other) = match judge.aim.direction {
                Direction::Up => (settings, &found.settings),
                Direction::Down => (&found.settings, settings),
            };
            model.difference(one, other).ok()
        });
        Some(Present {
            same,
            run: found.run.clone(),
            settings: found.settings.clone(),
            mean: at_present,
            flattery: lead.as_ref().map_or(0.0, |lead| lead.too_good_by),
            chance_better: lead.as_ref().map(|lead| lead.chance_better),
            gain: lead.map(|lead| lead.gain).or(plain.flatten()),
        })
    });
    Some(Told {
        mean,
        new_run,
        flattery,
        present,
    })
}

/// What the fit says by itself.
fn as_fitted(model: &FittedModel, settings: &Settings) -> Option<BestOfMany> {
    Some(BestOfMany {
        mean: model.estimate(settings).ok()?,
        new_run: model.new_run_interval(settings).ok()?,
        too_good_by: 0.0,
        against: None,
    })
}

/// Settings that stand for all that could have been the best.
fn rivals(all: &Grid, judge: &Judge, best: &Found) -> Vec<Settings> {
    // Neighbours on a fine grid say the same.
    let stride = all.found.len().div_ceil(MOST_RIVALS).max(1);
    let few = all.found.iter().step_by(stride);
    let worthy = few.filter(|found| judge.meets(&found.settings, Demand::All));
    let all = [best].into_iter().chain(worthy);
    all.map(|rival| rival.settings.clone()).collect()
}
