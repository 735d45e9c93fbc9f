//! A search for the best settings of the region.
//!
//! In: the region and a judge. Out: the best settings of each combination of levels, found on a grid and then refined.
//! This module never leaves the region.

use super::how_good::{Demand, Judge};
use super::region::{AmountRange, Region};
use crate::decide::aim::first_largest;
use crate::regression::Settings;
use crate::seeded::{Seeded, stream};

/// Places of the grid along each amount, the finest first.
const PLACES: [usize; 8] = [41, 21, 15, 11, 9, 7, 5, 3];
/// Most settings on the grids of all combinations of levels together.
const MOST_ON_GRIDS: usize = 3_000;
/// Settings at random for each combination where even the coarsest grid has more.
const AT_RANDOM: usize = 60;
/// The last step of the refinement, as a share of the range.
const LAST_STEP: f64 = 5e-4;
/// Combinations of levels whose best settings are refined.
const MOST_REFINED: usize = 3;
/// A gain must grow by so much of itself for a step to be taken, so that rounding leads nowhere.
const LEAST_GROWTH: f64 = 1e-12;

/// Settings with how good they are expected to be.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub settings: Settings,
    pub gain: f64,
}

/// All settings of the grids, the best first.
pub(super) struct Grid {
    pub found: Vec<Found>,
    /// How many settings were looked at.
    pub looked_at: usize,
    /// Whether all that was looked at is never to be proposed, so that nothing was found.
    pub all_forbidden: bool,
    /// Combinations of levels that the runs cannot tell.
    pub untold: Vec<Settings>,
    /// Places along each amount.
    places: usize,
}

/// Which settings are looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Which {
    /// Those that may be proposed.
    Allowed,
    /// Those that are never to be proposed.
    Forbidden,
}

/// Looks at the grid of amounts for each combination of levels that has such settings.
pub(super) fn grid(region: &Region, which: Which, judge: &Judge, seed: u64) -> Grid {
    let levels: Vec<&Settings> = match which {
        Which::Allowed => region.levels.iter().collect(),
        Which::Forbidden if region.forbids_amounts() => {
            let all = region.forbidden.iter();
            all.chain(&region.levels).collect()
        }
        Which::Forbidden => region.forbidden.iter().collect(),
    };
    let amounts = &region.amounts;
    let combinations = levels.len().max(1);
    let fits = |places: &usize| {
        let whole = places.checked_pow(u32::try_from(amounts.len()).ok()?)?;
        let size = whole.checked_mul(combinations)?;
        (size <= MOST_ON_GRIDS).then_some(())
    };
    let places = PLACES.into_iter().find(|places| fits(places).is_some());
    let mut random = Seeded::stream(seed, stream::SETTINGS_AT_RANDOM);
    let mut grid = Grid {
        found: Vec::new(),
        looked_at: 0,
        all_forbidden: !(region.levels.is_empty() && region.forbidden.is_empty()),
        untold: Vec::new(),
        places: places.unwrap_or(PLACES[PLACES.len() - 1]),
    };
    for level in levels {
        let all = match places {
            Some(places) => everywhere(region, level, places),
            None => at_random(amounts, level, &mut random),
        };
        let before = grid.found.len();
        for settings in all {
            grid.looked_at += 1;
            if region.is_forbidden(&settings) != (which == Which::Forbidden) {
                continue;
            }
            grid.all_forbidden = false;
            if let Some(gain) = judge.gain(&settings) {
                grid.found.push(Found { settings, gain });
            } else if grid.found.len() == before && judge.gain(level).is_none() {
                // The runs cannot tell this combination, wherever the amounts stand.
                grid.untold.push(level.clone());
                break;
            }
        }
    }
    let found = &mut grid.found;
    found.sort_by(|one, other| other.gain.total_cmp(&one.gain));
    grid
}

/// The settings found, and whether they meet the specification.
pub(super) struct Choice {
    pub found: Found,
    /// None where no purity is asked.
    pub reaches: Option<bool>,
}

/// The best settings that meet all demands; where none do, those with the largest chance of meeting the specification.
pub(super) fn chosen(all: &Grid, region: &Region, judge: &Judge) -> Option<Choice> {
    if let Some(found) = all.refined(region, judge) {
        let reaches = judge.specification.is_some().then_some(true);
        return Some(Choice { found, reaches });
    }
    let near = all.found.iter();
    let near = near.filter(|found| judge.meets(&found.settings, Demand::AnyPurity));
    let told = near.filter_map(|found| Some((judge.chance(&found.settings)?, found)));
    let (_, found) = first_largest(told, |(chance, _)| *chance)?;
    Some(Choice {
        found: found.clone(),
        reaches: Some(false),
    })
}

fn everywhere(region: &Region, level: &Settings, places: usize) -> Vec<Settings> {
    let amounts = region.amounts.iter();
    amounts.fold(vec![level.clone()], |all, range| {
        let values = region.places(range, places);
        let along = |settings: &Settings| {
            let at = |value: &f64| settings.clone().amount(&range.factor, *value);
            values.iter().map(at).collect::<Vec<_>>()
        };
        all.iter().flat_map(along).collect()
    })
}

fn at_random(amounts: &[AmountRange], level: &Settings, random: &mut Seeded) -> Vec<Settings> {
    let mut somewhere = |settings: Settings, range: &AmountRange| {
        let value = range.low + random.uniform() * (range.high - range.low);
        settings.amount(&range.factor, value)
    };
    let settings = (0..AT_RANDOM).map(|_| amounts.iter().fold(level.clone(), &mut somewhere));
    settings.collect()
}

impl Grid {
    /// The first settings of the grid that meet the demands.
    pub fn best(&self, judge: &Judge, demand: Demand) -> Option<&Found> {
        let mut all = self.found.iter();
        all.find(|found| judge.meets(&found.settings, demand))
    }

    /// The best settings that meet all demands, refined within the region; None where none do.
    pub fn refined(&self, region: &Region, judge: &Judge) -> Option<Found> {
        let mut starts: Vec<(Settings, &Found)> = Vec::new();
        for found in &self.found {
            let levels = levels_of(region, &found.settings);
            let is_new = starts.iter().all(|(known, _)| *known != levels);
            if is_new && judge.meets(&found.settings, Demand::All) {
                starts.push((levels, found));
                if starts.len() == MOST_REFINED {
                    break;
                }
            }
        }
        let starts = starts.into_iter();
        let refined = starts.map(|(_, start)| self.refine(start, region, judge));
        first_largest(refined, |found| found.gain)
    }

    /// Steps to better neighbours, smaller and smaller ones, along the amounts and in their diagonals.
    ///
    /// A step that finds nothing better is halved, from half a step of the grid down to a two-thousandth of the range.
    fn refine(&self, start: &Found, region: &Region, judge: &Judge) -> Found {
        let mut here = start.clone();
        let mut step = 0.5 / (self.places - 1) as f64;
        let moves = moves(region.amounts.len());
        while step > LAST_STEP {
            let better = moves.iter().find_map(|directions| {
                let settings = moved(&region.amounts, &here.settings, directions, step);
                let gain = judge.gain(&settings)?;
                let grown = gain - here.gain > LEAST_GROWTH * here.gain.abs();
                let found = Found { settings, gain };
                let fine = grown
                    && !region.is_forbidden(&found.settings)
                    && judge.meets(&found.settings, Demand::All);
                fine.then_some(found)
            });
            match better {
                Some(found) => here = found,
                None => step /= 2.0,
            }
        }
        here
    }
}

/// The choices of settings alone.
fn levels_of(region: &Region, settings: &Settings) -> Settings {
    settings.only(|name, _| region.amounts.iter().all(|range| range.factor != name))
}

/// Steps of one amount, then of two at once.
fn moves(amounts: usize) -> Vec<Vec<(usize, f64)>> {
    let signs = [1.0, -1.0];
    let single = |amount| signs.map(|sign| vec![(amount, sign)]);
    let mut moves: Vec<Vec<(usize, f64)>> = (0..amounts).flat_map(single).collect();
    for one in 0..amounts {
        for other in one + 1..amounts {
            for sign in signs {
                moves.extend(signs.map(|second| vec![(one, sign), (other, second)]));
            }
        }
    }
    moves
}

fn moved(
    amounts: &[AmountRange],
    settings: &Settings,
    directions: &[(usize, f64)],
    step: f64,
) -> Settings {
    let along = |settings: Settings, &(amount, sign): &(usize, f64)| {
        let range = &amounts[amount];
        let Some(value) = settings.amount_of(&range.factor) else {
            return settings;
        };
        let value = value + sign * step * (range.high - range.low);
        settings.amount(&range.factor, value.clamp(range.low, range.high))
    };
    directions.iter().fold(settings.clone(), along)
}
