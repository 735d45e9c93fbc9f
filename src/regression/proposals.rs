//! Which runs would tell apart what is tangled?
//!
//! In: a relation of the design and the runs. Out: proposals, in words.
//! This module never proposes a run without checking that it would tell.

use std::collections::{BTreeMap, BTreeSet};

use super::data::FactorValues;
use super::tangled::{MOST_VALUES, Tangle, shown};
use super::term::Piece;
use super::words::{all_of, one_of, quoted};

/// Proposals listed for one group; more would not be read.
const MOST_PROPOSALS: usize = 12;
/// Different combinations of settings looked at in search of proposals.
const MOST_COMBINATIONS: usize = 500;
/// Missing combinations after which the search ends.
const MOST_MISSING: usize = 200;
/// Levels of a choice that are listed.
const MOST_LEVELS: usize = 10;
/// Share of what is added up below which a sum along a relation is rounding.
const NO_CHANGE: f64 = 1e-9;

/// The value of each factor of a relation: a level, or an amount.
#[derive(Debug, Clone, Copy, PartialEq)]
enum At {
    Level(usize),
    Amount(f64),
}

impl Tangle<'_> {
    /// Runs that would tell the terms of the relation apart, in words; any one of them helps.
    pub fn proposals(&self) -> Vec<String> {
        let seen = self.combinations();
        let mut proposals = if self.choices_only() {
            self.missing_combinations(&seen)
        } else {
            self.moves(&seen)
        };
        proposals.truncate(MOST_PROPOSALS);
        if proposals.is_empty() {
            // No single change of a run made is enough.
            proposals.push("runs that change one of these terms without the others".to_string());
        }
        proposals
    }

    /// The different settings of the factors of the relation among the runs, in run order.
    fn combinations(&self) -> Vec<Vec<At>> {
        let mut known = BTreeSet::new();
        let mut different = Vec::new();
        for run in 0..self.data.runs.len() {
            let settings: Vec<At> = self
                .factors
                .iter()
                .map(|&factor| match &self.data.factors[factor].values {
                    FactorValues::Amount(values) => At::Amount(values[run]),
                    FactorValues::Choice { codes, .. } => At::Level(codes[run]),
                })
                .collect();
            if different.len() < MOST_COMBINATIONS && known.insert(key(&settings)) {
                different.push(settings);
            }
        }
        different
    }

    /// Whether a run at these settings would tell the terms of the relation apart.
    fn would_tell(&self, settings: &[At]) -> bool {
        let at = |factor: usize| {
            let position = self.factors.iter().position(|&f| f == factor);
            position.map_or(At::Amount(0.0), |position| settings[position])
        };
        let amount = |factor: usize| match at(factor) {
            At::Amount(value) => value,
            At::Level(_) => 0.0,
        };
        let weight =
            |factor: usize, level: usize| f64::from(u8::from(at(factor) == At::Level(level)));
        let (mut sum, mut size) = (0.0, 0.0);
        for (column, change) in self.columns() {
            let part: f64 = change * column.value(amount, weight);
            sum += part;
            size += part.abs();
        }
        if let Some(ghost) = &self.relation.ghost {
            let part = weight(ghost.factor, ghost.level);
            sum -= part;
            size += part;
        }
        sum.abs() > NO_CHANGE * size
    }

    /// Settings that change one choice of a run made, and would tell.
    fn changed(&self, seen: &[Vec<At>]) -> Vec<Vec<At>> {
        let mut known = BTreeSet::new();
        let mut found = Vec::new();
        for settings in seen {
            for (position, &factor) in self.factors.iter().enumerate() {
                for level in 0..self.data.factors[factor].levels().len() {
                    if found.len() >= MOST_MISSING {
                        return found;
                    }
                    let mut other = settings.clone();
                    other[position] = At::Level(level);
                    if other != *settings && self.would_tell(&other) && known.insert(key(&other)) {
                        found.push(other);
                    }
                }
            }
        }
        found
    }

    /// Proposals where all factors are choices: the combinations of levels that are missing.
    fn missing_combinations(&self, seen: &[Vec<At>]) -> Vec<String> {
        let mut missing = self.changed(seen);
        let mut proposals = Vec::new();
        if self.factors.len() == 2 {
            for piece in self.pieces() {
                let Piece::Level { factor, level } = piece else {
                    continue;
                };
                let here = usize::from(self.factors[1] == factor);
                let (with, rest): (Vec<_>, Vec<_>) = missing
                    .into_iter()
                    .partition(|settings| settings[here] == At::Level(level));
                missing = rest;
                let mut others: Vec<usize> = with
                    .iter()
                    .filter_map(|settings| level_of(settings[1 - here]))
                    .collect();
                others.sort_unstable();
                if !others.is_empty() {
                    let name = quoted(&piece.name(&self.data.factors));
                    proposals.push(format!(
                        "a run with {name} and {}",
                        self.at_levels(self.factors[1 - here], &others)
                    ));
                }
            }
        }
        proposals.extend(
            missing
                .iter()
                .map(|settings| format!("a run with {}", self.levels_in_words(settings))),
        );
        proposals
    }

    /// A choice at one of these levels, in words.
    fn at_levels(&self, factor: usize, levels: &[usize]) -> String {
        let choice = &self.data.factors[factor];
        let names: Vec<String> = levels
            .iter()
            .map(|&level| choice.levels()[level].clone())
            .collect();
        if names.len() > MOST_LEVELS {
            format!("{} at another level", quoted(&choice.name))
        } else {
            format!("{} at {}", quoted(&choice.name), one_of(&names))
        }
    }

    /// Proposals where amounts take part: an amount moved with the levels kept, or levels that were never run.
    fn moves(&self, seen: &[Vec<At>]) -> Vec<String> {
        let mut proposals = Vec::new();
        let mut propose = |text: String| {
            if !proposals.contains(&text) {
                proposals.push(text);
            }
        };
        let mut by_levels: BTreeMap<Vec<usize>, Vec<&Vec<At>>> = BTreeMap::new();
        for settings in seen {
            by_levels
                .entry(levels_of(settings))
                .or_default()
                .push(settings);
        }
        for group in by_levels.values() {
            for position in 0..self.factors.len() {
                if let Some(text) = self.moved(position, group) {
                    propose(text);
                }
            }
        }
        for settings in self.changed(seen) {
            if !by_levels.contains_key(&levels_of(&settings)) {
                propose(format!("a run with {}", self.levels_in_words(&settings)));
            }
        }
        proposals
    }

    /// A run at the levels of this group with one amount moved, in words; None if that would not tell.
    fn moved(&self, position: usize, group: &[&Vec<At>]) -> Option<String> {
        let beyond = self.beyond(self.factors[position])?;
        let telling: Vec<&&Vec<At>> = group
            .iter()
            .filter(|settings| {
                let mut moved = settings.to_vec();
                moved[position] = At::Amount(beyond);
                self.would_tell(&moved)
            })
            .collect();
        let first = telling.first()?;
        let mut parts = vec![
            self.levels_in_words(first),
            self.moved_in_words(position, group),
        ];
        if telling.len() < group.len() {
            // Elsewhere the move would not tell, so that the other amounts must be named.
            let others = self.factors.iter().zip(first.iter()).enumerate();
            parts.extend(others.filter(|&(other, _)| other != position).filter_map(
                |(_, (&factor, &at))| match at {
                    At::Amount(value) => Some(format!(
                        "{} at {value}",
                        quoted(&self.data.factors[factor].name)
                    )),
                    At::Level(_) => None,
                },
            ));
        }
        parts.retain(|part| !part.is_empty());
        Some(format!("a run with {}", all_of(&parts)))
    }

    /// A value of an amount that no run has.
    fn beyond(&self, factor: usize) -> Option<f64> {
        self.data.factors[factor].amounts()?;
        let values = self.data.factors[factor].distinct_amounts();
        let (low, high) = (*values.first()?, *values.last()?);
        let step = if high > low {
            high - low
        } else {
            high.abs().max(1.0)
        };
        Some(high + step)
    }

    /// An amount at a value that the runs at these levels do not have.
    fn moved_in_words(&self, position: usize, group: &[&Vec<At>]) -> String {
        let name = quoted(&self.data.factors[self.factors[position]].name);
        let mut values: Vec<f64> = group
            .iter()
            .filter_map(|settings| match settings[position] {
                At::Amount(value) => Some(value),
                At::Level(_) => None,
            })
            .collect();
        values.sort_by(f64::total_cmp);
        values.dedup();
        if values.len() <= MOST_VALUES {
            format!("{name} away from {}", all_of(&shown(&values)))
        } else {
            format!("{name} changed on its own")
        }
    }

    /// The levels among these settings, in words; empty when all are amounts.
    fn levels_in_words(&self, settings: &[At]) -> String {
        let names: Vec<String> = self
            .factors
            .iter()
            .zip(settings)
            .filter_map(|(&factor, &at)| level_of(at).map(|level| Piece::Level { factor, level }))
            .map(|piece| quoted(&piece.name(&self.data.factors)))
            .collect();
        all_of(&names)
    }
}

/// Settings in a form that can be looked up.
fn key(settings: &[At]) -> Vec<u64> {
    let part = |at: &At| match at {
        At::Level(level) => *level as u64,
        At::Amount(value) => value.to_bits(),
    };
    settings.iter().map(part).collect()
}

fn level_of(at: At) -> Option<usize> {
    match at {
        At::Level(level) => Some(level),
        At::Amount(_) => None,
    }
}

fn levels_of(settings: &[At]) -> Vec<usize> {
    settings.iter().copied().filter_map(level_of).collect()
}
