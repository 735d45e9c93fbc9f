//! The errors that further runs have in common with others.
//!
//! In: the runs made, and where further runs may lie. Out: [`NewRuns`]: for each value of each factor the shared errors.
//! This module never invents an error: a new lot has those that lots so far have on average.

use std::collections::BTreeMap;

use super::coded_terms::Layout;
use super::runs_made::{FREE, LEAST, Made, mean};
use super::space::{PlanFactor, PlanValues, Space};
use super::{BlocksAs, Grouping};
use crate::regression::{Factor, Setting, Settings};

/// Which shared errors a further run has, each with its size in units of the standard deviation of a run.
#[derive(Debug, Clone, Default)]
pub(super) struct NewRuns {
    /// Errors of all further runs.
    always: Vec<(Source, f64)>,
    /// By factor of the space, then by value.
    by_value: BTreeMap<usize, Vec<Vec<(Source, f64)>>>,
    /// How many errors of runs made are kept.
    made: usize,
}

/// An error that further runs may have.
#[derive(Debug, Clone, Copy)]
enum Source {
    /// One of runs made, by its place among those kept.
    Made(usize),
    /// One that no run had yet; their places come after those of runs made.
    Fresh(usize),
}

impl NewRuns {
    /// What the shared errors do to a run at these settings; where they name no lot, it is the first one of the space.
    pub fn of_settings(&self, space: &Space, settings: &Settings, errors: usize) -> Vec<f64> {
        let place = |factor: &PlanFactor| match (&factor.values, settings.get(&factor.name)) {
            (PlanValues::Levels(levels), Some(Setting::Level(level))) => {
                let place = levels.iter().position(|known| known == level);
                place.unwrap_or_default()
            }
            _ => 0,
        };
        let point: Vec<usize> = space.factors.iter().map(place).collect();
        let mut row = vec![0.0; errors];
        self.row(&point, &mut row);
        row
    }

    /// Writes what the shared errors do to a run at this point.
    pub fn row(&self, point: &[usize], row: &mut [f64]) {
        row.fill(0.0);
        let of_values = self.by_value.iter();
        let of_values = of_values.flat_map(|(&factor, values)| &values[point[factor]]);
        for (source, size) in self.always.iter().chain(of_values) {
            let place = match *source {
                Source::Made(place) => place,
                Source::Fresh(place) => self.made + place,
            };
            row[place] += size;
        }
    }
}

/// The shared errors that further runs may have.
#[derive(Default)]
pub(super) struct Kept {
    /// Columns of the runs made, in the order of their places.
    pub columns: Vec<usize>,
    /// Variances of errors that no run had yet; their places come after those of the columns.
    pub fresh: Vec<f64>,
}

/// Which errors a further run has at each value of the space, and which errors these are.
pub(super) fn new_runs(
    made: &Made,
    layout: &Layout,
    space: &Space,
    grouping: Option<&Grouping>,
    blocks_as: BlocksAs,
) -> (NewRuns, Kept) {
    let mut kept = Kept::default();
    let unit = made.scatter.own.sqrt();
    let everywhere: Vec<usize> = (0..made.runs).collect();
    let common = carried(made, &everywhere);
    let always = kept.carried(&common, unit);
    let mut by_value = BTreeMap::new();
    for (at, factor) in space.factors.iter().enumerate() {
        let PlanValues::Levels(levels) = &factor.values else {
            continue;
        };
        let mut values: Vec<Vec<(Source, f64)>> = vec![Vec::new(); levels.len()];
        let mut blocks = made.blocks.iter();
        let is_factor = |&block: &usize| layout.data.factors[block].name == factor.name;
        if let Some(block) = blocks.position(is_factor) {
            let of_block = &layout.data.factors[made.blocks[block]];
            for (level, value) in levels.iter().zip(&mut values) {
                let source = match column_of(made, block, of_block, level) {
                    Some(column) => Source::Made(kept.column(column)),
                    None => kept.another(match blocks_as {
                        BlocksAs::Random => made.block_variances[block] / made.scatter.own,
                        BlocksAs::Free => FREE,
                    }),
                };
                // A level of a block is an error of its own unit.
                value.push((source, 1.0));
            }
        }
        if let Some(grouping) = grouping.filter(|grouping| grouping.factor == factor.name) {
            let groups = Groups::of(made, grouping, &common);
            for (level, value) in levels.iter().zip(&mut values) {
                match groups.of_level.get(level) {
                    Some(own) => value.extend(kept.carried(own, unit)),
                    None if groups.typical > 0.0 => {
                        value.push((kept.another(1.0), groups.typical.sqrt() / unit));
                    }
                    None => {}
                }
            }
        }
        if values.iter().any(|value| !value.is_empty()) {
            by_value.insert(at, values);
        }
    }
    let new_runs = NewRuns {
        always,
        by_value,
        made: kept.columns.len(),
    };
    (new_runs, kept)
}

/// The column of the error that a level of a block made; None if no run had that level.
fn column_of(made: &Made, block: usize, of_block: &Factor, level: &str) -> Option<usize> {
    let mut codes = of_block.codes().iter();
    let run = codes.position(|&code| of_block.levels()[code] == level)?;
    let mut entries = made.shape.entries(run);
    let entry = entries.find(|&entry| made.shape.entry_block(entry) == Some(block))?;
    Some(made.shape.columns[entry])
}

/// The known errors that every one of these runs has, with their mean size in the unit of the fit.
fn carried(made: &Made, runs: &[usize]) -> BTreeMap<usize, f64> {
    let mut sums: BTreeMap<usize, (usize, f64)> = BTreeMap::new();
    for &run in runs {
        for entry in made.shape.entries(run) {
            if made.shape.entry_block(entry).is_none() {
                let sum = sums.entry(made.shape.columns[entry]).or_default();
                sum.0 += 1;
                sum.1 += made.at.entries[entry];
            }
        }
    }
    sums.into_iter()
        .filter(|(_, (count, _))| *count == runs.len() && !runs.is_empty())
        .map(|(column, (count, sum))| (column, sum / count as f64))
        .collect()
}

/// What the runs of each lot have in common beyond what all runs have.
struct Groups {
    of_level: BTreeMap<String, BTreeMap<usize, f64>>,
    /// Mean variance of it, in the squared unit of the fit.
    typical: f64,
}

impl Groups {
    fn of(made: &Made, grouping: &Grouping, common: &BTreeMap<usize, f64>) -> Self {
        let mut runs: BTreeMap<&String, Vec<usize>> = BTreeMap::new();
        for (run, level) in grouping.levels.iter().enumerate() {
            if let Some(level) = level {
                runs.entry(level).or_default().push(run);
            }
        }
        // What a single run shares with no other cannot be told from what it has for itself.
        runs.retain(|_, runs| runs.len() > 1);
        let of_level: BTreeMap<String, BTreeMap<usize, f64>> = runs
            .into_iter()
            .map(|(level, runs)| {
                let mut own = carried(made, &runs);
                own.retain(|column, _| !common.contains_key(column));
                (level.clone(), own)
            })
            .collect();
        let variances: Vec<f64> = of_level
            .values()
            .map(|own| own.values().map(|size| size * size).sum())
            .filter(|&variance: &f64| variance > 0.0)
            .collect();
        Self {
            typical: mean(&variances),
            of_level,
        }
    }
}

impl Kept {
    fn carried(&mut self, columns: &BTreeMap<usize, f64>, unit: f64) -> Vec<(Source, f64)> {
        let sources = columns.iter();
        sources
            .map(|(&column, &size)| (Source::Made(self.column(column)), size / unit))
            .collect()
    }

    fn column(&mut self, column: usize) -> usize {
        let known = self.columns.iter().position(|&known| known == column);
        known.unwrap_or_else(|| {
            self.columns.push(column);
            self.columns.len() - 1
        })
    }

    fn another(&mut self, variance: f64) -> Source {
        self.fresh.push(variance.max(LEAST));
        Source::Fresh(self.fresh.len() - 1)
    }
}
