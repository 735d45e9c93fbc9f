//! Which errors will a further run have in common with others?
//!
//! In: the runs made, and where further runs may lie. Out: [`NewRuns`]: for each value of each factor the shared errors.
//! This module never invents an error: a new lot has those that lots so far have on average.

use std::collections::BTreeMap;

use super::information::{FREE, LEAST, Made, Scatter, mean};
use super::layout::Layout;
use super::space::{PlanValues, Space};
use super::{BlocksAs, Grouping};
use crate::regression::{Setting, Settings};

/// Which shared errors a further run has: for each value of each factor of the space, error and size.
#[derive(Debug, Clone, Default)]
pub(super) struct NewRuns {
    /// Errors of all further runs.
    always: Vec<Shared>,
    /// By factor of the space, then by value.
    by_value: BTreeMap<usize, Vec<Vec<Shared>>>,
}

/// One shared error of a further run.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shared {
    /// Its place among those kept.
    pub error: usize,
    /// Its size, in units of the standard deviation of a run.
    pub size: f64,
}

impl NewRuns {
    /// What the shared errors do to a run at these settings; where they name no lot, it is the first one of the space.
    pub fn of_settings(&self, space: &Space, settings: &Settings, errors: usize) -> Vec<f64> {
        let point: Vec<usize> = space
            .factors
            .iter()
            .map(
                |factor| match (&factor.values, settings.get(&factor.name)) {
                    (PlanValues::Levels(levels), Some(Setting::Level(level))) => levels
                        .iter()
                        .position(|known| known == level)
                        .unwrap_or_default(),
                    _ => 0,
                },
            )
            .collect();
        let mut row = vec![0.0; errors];
        self.row(&point, &mut row);
        row
    }

    /// Writes what the shared errors do to a run at this point.
    pub fn row(&self, point: &[usize], row: &mut [f64]) {
        row.fill(0.0);
        for shared in &self.always {
            row[shared.error] += shared.size;
        }
        for (&factor, values) in &self.by_value {
            for shared in &values[point[factor]] {
                row[shared.error] += shared.size;
            }
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

/// An error that further runs may have, before its place is known.
enum Source {
    Made(usize),
    Fresh(usize),
}

/// Which errors a further run has at each value of the space.
pub(super) fn new_runs(
    made: &Made,
    layout: &Layout,
    space: &Space,
    grouping: Option<&Grouping>,
    scatter: Scatter,
    blocks_as: BlocksAs,
    kept: &mut Kept,
) -> NewRuns {
    let unit = scatter.own.sqrt();
    let runs = made.runs;
    let everywhere: Vec<usize> = (0..runs).collect();
    let common = carried(made, &everywhere);
    let mut always = Vec::new();
    for (&column, &size) in &common {
        always.push((Source::Made(kept.column(column)), size / unit));
    }
    let mut by_value: BTreeMap<usize, Vec<Vec<(Source, f64)>>> = BTreeMap::new();
    for (at, factor) in space.factors.iter().enumerate() {
        let PlanValues::Levels(levels) = &factor.values else {
            continue;
        };
        let mut values: Vec<Vec<(Source, f64)>> = levels.iter().map(|_| Vec::new()).collect();
        let block = made
            .blocks
            .iter()
            .position(|&block| layout.data.factors[block].name == factor.name);
        if let Some(block) = block {
            let of_block = &layout.data.factors[made.blocks[block]];
            for (level, value) in levels.iter().zip(&mut values) {
                let run = of_block
                    .codes()
                    .iter()
                    .position(|&code| of_block.levels()[code] == *level);
                let column = run.and_then(|run| {
                    let mut entries = made.shape.entries(run);
                    let entry =
                        entries.find(|&entry| made.shape.entry_block(entry) == Some(block))?;
                    Some(made.shape.columns[entry])
                });
                let source = match column {
                    Some(column) => Source::Made(kept.column(column)),
                    None => kept.another(match blocks_as {
                        BlocksAs::Random => made.block_variances[block] / scatter.own,
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
                    Some(carried) => {
                        value.extend(carried.iter().map(|(&column, &size)| {
                            (Source::Made(kept.column(column)), size / unit)
                        }))
                    }
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
    let first_fresh = kept.columns.len();
    let placed = |list: Vec<(Source, f64)>| -> Vec<Shared> {
        list.into_iter()
            .map(|(source, size)| Shared {
                error: match source {
                    Source::Made(place) => place,
                    Source::Fresh(place) => first_fresh + place,
                },
                size,
            })
            .collect()
    };
    NewRuns {
        always: placed(always),
        by_value: by_value
            .into_iter()
            .map(|(at, values)| (at, values.into_iter().map(placed).collect()))
            .collect(),
    }
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
