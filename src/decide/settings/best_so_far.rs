//! The best that was done so far, and whether the new settings beat it.
//!
//! In: the settings of the runs made, and the best settings found. Out: [`Present`], and by how much a search flatters itself.
//! This module never compares with settings that may no longer be proposed.

use super::how_good::{Demand, Judge};
use super::region::Region;
use super::search::{Found, Grid};
use crate::decide::aim::{Direction, first_largest};
use crate::decide::models::runs_of;
use crate::regression::{Estimate, FittedModel, Interval, Settings};
use crate::runs::Runs;
use crate::seeded::{Seeded, stream};

/// Draws behind the chance of beating the present best.
const DRAWS: usize = 10_000;
/// Draws behind the correction of a search.
const DRAWS_OF_SEARCH: usize = 2_000;
/// Most settings that take part in it, the best ones of each combination of levels first.
const MOST_RIVALS: usize = 24;

/// The best settings of the runs made, and the new ones against them.
#[derive(Debug, Clone)]
pub struct Present {
    /// First run with these settings.
    pub run: String,
    /// The settings.
    pub settings: Settings,
    /// Whether these are the best settings themselves.
    pub same: bool,
    /// Mean response there.
    pub mean: Estimate,
    /// How much better the new settings are expected to be, positive for the better; None for the same settings.
    pub gain: Option<Estimate>,
    /// Chance that the new settings are better.
    pub chance_better: Option<f64>,
}

/// A run with its settings.
#[derive(Debug, Clone)]
pub(super) struct Made {
    pub run: String,
    pub settings: Settings,
}

/// The settings of the runs that a model uses.
pub(super) fn made(runs: &Runs, model: &FittedModel, names: &[String]) -> Vec<Made> {
    let columns = || {
        runs.factors
            .iter()
            .filter(|column| names.contains(&column.name))
    };
    let used = runs_of(model, runs)
        .into_iter()
        .map(|(position, run)| Made {
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

/// The best of the runs made that still may be proposed and meets the specification.
pub(super) fn present(
    made: &[Made],
    region: &Region,
    judge: &Judge,
    best: &Settings,
    seed: u64,
) -> Option<Present> {
    let may_be = made.iter().filter(|made| {
        region.holds(&made.settings) && judge.meets(&made.settings, Demand::AnyDistance)
    });
    let ranked = may_be.filter_map(|made| Some((judge.gain(&made.settings)?, made)));
    let (_, found) = first_largest(ranked, |(gain, _)| *gain)?;
    let model = judge.goal;
    let (one, other) = match judge.aim.direction {
        Direction::Up => (best, &found.settings),
        Direction::Down => (&found.settings, best),
    };
    let same = region.is_same(best, &found.settings);
    Some(Present {
        same,
        run: found.run.clone(),
        settings: found.settings.clone(),
        mean: model.estimate(&found.settings).ok()?,
        gain: model.difference(one, other).ok().filter(|_| !same),
        chance_better: chance_better(judge, best, &found.settings, seed).filter(|_| !same),
    })
}

fn chance_better(judge: &Judge, best: &Settings, present: &Settings, seed: u64) -> Option<f64> {
    let both = [best.clone(), present.clone()];
    let mut random = Seeded::stream(seed, stream::CHANCE_OF_SETTINGS);
    let draws = judge.goal.draws_of_means(&both, DRAWS, &mut random).ok()?;
    let pairs = draws[0].iter().zip(&draws[1]);
    let better = pairs.filter(|(new, old)| judge.aim.direction.gain(*new - *old) > 0.0);
    (!draws[0].is_empty()).then(|| better.count() as f64 / draws[0].len() as f64)
}

/// By how much the mean at the best of many settings is too good on average, because it was chosen for being good.
///
/// The fitted surface is taken for the truth; surfaces are drawn about it, the best of the rivals is chosen by each, and
/// what it seems to give is held against what it truly gives.
///
/// # Source
/// Efron, Estimation and accuracy after model selection, J. American Statistical Association 109 (2014), 991-1007
/// (the winner's bias by a parametric bootstrap).
pub(super) fn flattery(grid: &Grid, judge: &Judge, best: &Found, seed: u64) -> Option<f64> {
    let worthy = grid
        .found
        .iter()
        .filter(|found| judge.meets(&found.settings, Demand::All));
    // Neighbours on a fine grid say the same: every few of the better half stand for all.
    let stride = (grid.found.len() / (2 * MOST_RIVALS)).max(1);
    let few = worthy.take(stride * MOST_RIVALS).step_by(stride);
    let rivals: Vec<&Found> = [best].into_iter().chain(few).collect();
    let settings: Vec<Settings> = rivals.iter().map(|rival| rival.settings.clone()).collect();
    let mut random = Seeded::stream(seed, stream::FLATTERY_OF_SEARCH);
    let draws = judge
        .goal
        .draws_of_means(&settings, DRAWS_OF_SEARCH, &mut random);
    let draws = draws.ok()?;
    let count = draws[0].len();
    if count == 0 {
        return None;
    }
    let too_good = |draw: usize| {
        let gain = |place: usize| judge.aim.direction.gain(draws[place][draw]);
        let places = 0..rivals.len();
        let chosen = places.max_by(|one, other| gain(*one).total_cmp(&gain(*other)))?;
        Some(gain(chosen) - rivals[chosen].gain)
    };
    let sum = (0..count).map(too_good).sum::<Option<f64>>()?;
    Some((sum / count as f64).max(0.0))
}

/// The interval of a gain, moved down by what the search flatters it.
pub(super) fn moved_down(gain: &Estimate, by: f64) -> Option<Interval> {
    gain.interval.map(|ends| Interval {
        low: ends.low - by,
        high: ends.high - by,
    })
}
