//! What is the best that was done so far, and do the new settings beat it?
//!
//! In: the settings of the runs made, and the best settings found. Out: [`Present`], and by how much a search flatters itself.
//! This module never compares with settings that may no longer be proposed.

use std::collections::BTreeSet;

use super::judge::{Demand, Judge};
use super::region::Region;
use super::search::{Found, Grid};
use crate::decide::aimed::Direction;
use crate::regression::{Estimate, FittedModel, Interval, Settings};
use crate::runs::{FactorValues, Runs};
use crate::seeded::Seeded;

/// Draws behind the chance of beating the present best.
const DRAWS: usize = 10_000;
/// Draws behind the correction of a search.
const DRAWS_OF_SEARCH: usize = 2_000;
/// Most settings that take part in it, the best ones of each combination of levels first.
const MOST_RIVALS: usize = 24;
/// Streams of the generator.
const STREAM_OF_CHANCE: u64 = 0x4000_0003;
const STREAM_OF_SEARCH: u64 = 0x4000_0004;

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

/// The different settings of the runs that a model uses, each with its first run.
pub(super) fn made(runs: &Runs, model: &FittedModel, names: &[String]) -> Vec<Made> {
    let mut found: Vec<Made> = Vec::new();
    let used: BTreeSet<&String> = model.runs.iter().collect();
    let positions =
        (0..runs.results.len()).filter(|position| used.contains(&runs.results[*position].run));
    for position in positions {
        let mut settings = Settings::default();
        for column in runs.factors.iter().filter(|c| names.contains(&c.name)) {
            settings = match &column.values {
                FactorValues::Amount(values) => match values[position] {
                    Some(value) => settings.amount(&column.name, value),
                    None => settings,
                },
                FactorValues::Choice { levels, codes } => match codes[position] {
                    Some(code) => settings.level(&column.name, levels[code].clone()),
                    None => settings,
                },
            };
        }
        found.push(Made {
            run: runs.results[position].run.clone(),
            settings,
        });
    }
    found
}

/// The best of the runs made that still may be proposed and meets the specification.
pub(super) fn present(
    made: &[Made],
    region: &Region,
    judge: &Judge,
    best: &Settings,
    seed: u64,
) -> Option<Present> {
    let mut ranked: Vec<(f64, &Made)> = made
        .iter()
        .filter(|made| region.holds(&made.settings))
        .filter_map(|made| Some((judge.gain(&made.settings)?, made)))
        .collect();
    ranked.sort_by(|one, other| other.0.total_cmp(&one.0));
    let (_, found) = ranked
        .into_iter()
        .find(|(_, made)| judge.meets(&made.settings, Demand::AnyDistance))?;
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
    let mut random = Seeded::stream(seed, STREAM_OF_CHANCE);
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
    let mut rivals = vec![best.settings.clone()];
    let mut truths = vec![best.gain];
    let worthy = grid
        .found
        .iter()
        .filter(|found| judge.meets(&found.settings, Demand::All));
    // Neighbours on a fine grid say the same: every few of the better half stand for all.
    let stride = (grid.found.len() / (2 * MOST_RIVALS)).max(1);
    for found in worthy.take(stride * MOST_RIVALS).step_by(stride) {
        rivals.push(found.settings.clone());
        truths.push(found.gain);
    }
    let mut random = Seeded::stream(seed, STREAM_OF_SEARCH);
    let draws = judge
        .goal
        .draws_of_means(&rivals, DRAWS_OF_SEARCH, &mut random)
        .ok()?;
    let count = draws[0].len();
    if count == 0 {
        return None;
    }
    let too_good = |draw: usize| {
        let gain = |place: usize| judge.aim.direction.gain(draws[place][draw]);
        let places = 0..rivals.len();
        let chosen = places.max_by(|one, other| gain(*one).total_cmp(&gain(*other)))?;
        Some(gain(chosen) - truths[chosen])
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
