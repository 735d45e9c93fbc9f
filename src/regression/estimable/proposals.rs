//! Proposals: runs that would tell apart what is tangled.
//!
//! One run is enough for each relation, and it is looked for at levels and values that the factors have: a run made with one
//! of them changed, such as one run of the other half of a half fraction. Only where none of these tells, an amount moves on.
//!
//! In: a relation of the design and the runs. Out: [`Proposal`]s.
//! This module never proposes a run without checking that it would tell, and never a forbidden combination.

use std::collections::{BTreeMap, BTreeSet};

use super::reasons::{AmountAt, NotSeparable, Proposal};
use super::tangle::Tangle;
use crate::regression::asked::{BarredPart, FactorValues, Piece, TermPiece};

/// Proposals listed for one group; more would not be read.
const MOST_PROPOSALS: usize = 12;
/// Different combinations of settings looked at in search of proposals.
const MOST_COMBINATIONS: usize = 500;
/// Values of an amount that are tried.
const MOST_VALUES: usize = 100;
/// Missing combinations after which the search ends.
const MOST_MISSING: usize = 200;
/// Share of what is added up below which a sum along a relation is rounding.
const NO_CHANGE: f64 = 1e-9;

/// The value of a factor of a relation: a level, or the bits of an amount, so that settings can be looked up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum At {
    Level(usize),
    Amount(u64),
}

impl Tangle<'_> {
    /// The relation with what was seen and what would help.
    pub fn describe(&self) -> NotSeparable {
        NotSeparable {
            terms: self.terms(),
            why: self.why(),
            runs_that_would_separate: self.proposals(),
        }
    }

    /// Runs that would tell the terms of the relation apart; any one of them helps.
    fn proposals(&self) -> Vec<Proposal> {
        let seen = self.combinations();
        let mut proposals = if self.choices_only() {
            self.missing_combinations(&seen)
        } else {
            let at_values = self.with_amounts(&seen, Self::at_another_value);
            if at_values.is_empty() {
                self.with_amounts(&seen, Self::moved)
            } else {
                at_values
            }
        };
        proposals.truncate(MOST_PROPOSALS);
        if proposals.is_empty() {
            // No single change of a run made is enough.
            proposals.push(Proposal::OneWithoutTheOthers);
        }
        proposals
    }

    /// The different settings of the factors of the relation among the runs, in run order.
    fn combinations(&self) -> Vec<Vec<At>> {
        let mut known = BTreeSet::new();
        let mut different = Vec::new();
        for run in 0..self.data.runs.len() {
            let at = |&factor: &usize| match &self.data.factors[factor].values {
                FactorValues::Amount(values) => At::Amount(values[run].to_bits()),
                FactorValues::Choice { codes, .. } => At::Level(codes[run]),
            };
            let settings: Vec<At> = self.factors.iter().map(at).collect();
            if different.len() < MOST_COMBINATIONS && known.insert(settings.clone()) {
                different.push(settings);
            }
        }
        different
    }

    /// Whether a run at these settings may be made; what they leave open forbids nothing.
    fn may_be_made(&self, settings: &[At]) -> bool {
        let part = |name: &str, part: &BarredPart| {
            let named = |&factor: &usize| self.data.factors[factor].name == name;
            let position = self.factors.iter().position(named);
            position.is_some_and(|position| match settings[position] {
                At::Level(level) => {
                    let levels = self.data.factors[self.factors[position]].levels();
                    part.is_level(&levels[level])
                }
                At::Amount(bits) => part.is_amount(f64::from_bits(bits)),
            })
        };
        !self.data.never.iter().any(|never| never.is_met(part))
    }

    /// Whether a run at these settings may be made and would tell the terms of the relation apart.
    fn would_tell(&self, settings: &[At]) -> bool {
        if !self.may_be_made(settings) {
            return false;
        }
        let at = |factor: usize| {
            let position = self.factors.iter().position(|&f| f == factor);
            position.map(|position| settings[position])
        };
        let amount = |factor: usize| at(factor).and_then(amount_of).unwrap_or(0.0);
        let weight =
            |factor: usize, level: usize| f64::from(u8::from(at(factor) == Some(At::Level(level))));
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
                    if other != *settings && self.would_tell(&other) && known.insert(other.clone())
                    {
                        found.push(other);
                    }
                }
            }
        }
        found
    }

    /// Proposals where all factors are choices: the combinations of levels that are missing.
    fn missing_combinations(&self, seen: &[Vec<At>]) -> Vec<Proposal> {
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
                let others = with.iter().map(|settings| settings[1 - here]);
                let mut others: Vec<usize> = others.filter_map(level_of).collect();
                others.sort_unstable();
                if !others.is_empty() {
                    let choice = &self.data.factors[self.factors[1 - here]];
                    let names = others.iter().map(|&level| choice.levels()[level].clone());
                    proposals.push(Proposal::Beside {
                        level: piece.named(&self.data.factors),
                        choice: choice.name.clone(),
                        levels: names.collect(),
                    });
                }
            }
        }
        let levels = missing.iter().map(|settings| self.levels_at(settings));
        proposals.extend(levels.map(Proposal::Levels));
        proposals
    }

    /// Proposals where amounts take part: one amount changed with the levels kept, as `change` does, or levels that were never run.
    ///
    /// Those that leave more open come first.
    fn with_amounts(
        &self,
        seen: &[Vec<At>],
        change: fn(&Self, usize, &[&Vec<At>]) -> Option<Proposal>,
    ) -> Vec<Proposal> {
        let mut proposals = Vec::new();
        let mut propose = |proposal: Proposal| {
            if !proposals.contains(&proposal) {
                proposals.push(proposal);
            }
        };
        let mut by_levels: BTreeMap<Vec<usize>, Vec<&Vec<At>>> = BTreeMap::new();
        for settings in seen {
            let same = by_levels.entry(levels_of(settings)).or_default();
            same.push(settings);
        }
        for group in by_levels.values() {
            let changed = (0..self.factors.len()).filter_map(|at| change(self, at, group));
            changed.for_each(&mut propose);
        }
        for settings in self.changed(seen) {
            if !by_levels.contains_key(&levels_of(&settings)) {
                propose(Proposal::Levels(self.levels_at(&settings)));
            }
        }
        proposals.sort_by_key(|proposal| match proposal {
            Proposal::At { with, .. } | Proposal::Moved { with, .. } => with.len(),
            _ => 0,
        });
        proposals
    }

    /// A run at the levels of this group with one amount at another of its values; None if that would not tell.
    fn at_another_value(&self, position: usize, group: &[&Vec<At>]) -> Option<Proposal> {
        let mut known = self.data.factors[self.factors[position]].distinct_amounts();
        known.truncate(MOST_VALUES);
        let telling = |value: &f64| self.telling(position, *value, group);
        let anywhere = |value: &&f64| telling(value).len() == group.len();
        let mut values: Vec<f64> = known.iter().filter(anywhere).copied().collect();
        let is_open = !values.is_empty();
        let from = if is_open {
            group[0]
        } else {
            known
                .iter()
                .find_map(|value| telling(value).first().copied())?
        };
        if !is_open {
            let tells = |value: &&f64| telling(value).contains(&from);
            values = known.iter().filter(tells).copied().collect();
        }
        Some(Proposal::At {
            levels: self.levels_at(from),
            amount: self.data.factors[self.factors[position]].name.clone(),
            values,
            with: if is_open {
                Vec::new()
            } else {
                self.other_amounts(position, from)
            },
        })
    }

    /// A run at the levels of this group with one amount moved; None if that would not tell.
    fn moved(&self, position: usize, group: &[&Vec<At>]) -> Option<Proposal> {
        let beyond = self.beyond(self.factors[position])?.into_iter();
        let mut moves = beyond.map(|value| self.telling(position, value, group));
        let telling = moves.find(|telling| !telling.is_empty())?;
        let first = telling[0];
        // Elsewhere the move would not tell, so that the other amounts must be named.
        let with = if telling.len() < group.len() {
            self.other_amounts(position, first)
        } else {
            Vec::new()
        };
        let values = group.iter().map(|settings| settings[position]);
        let mut away_from: Vec<f64> = values.filter_map(amount_of).collect();
        away_from.sort_by(f64::total_cmp);
        away_from.dedup();
        Some(Proposal::Moved {
            levels: self.levels_at(first),
            amount: self.data.factors[self.factors[position]].name.clone(),
            away_from,
            with,
        })
    }

    /// Those of the settings that would tell with one amount at this value.
    fn telling<'s>(&self, position: usize, value: f64, group: &[&'s Vec<At>]) -> Vec<&'s Vec<At>> {
        let tells = |settings: &&&Vec<At>| {
            let mut other = settings.to_vec();
            other[position] = At::Amount(value.to_bits());
            self.would_tell(&other)
        };
        group.iter().filter(tells).copied().collect()
    }

    /// The amounts of these settings besides the one at a position.
    fn other_amounts(&self, position: usize, settings: &[At]) -> Vec<AmountAt> {
        let others = self.factors.iter().zip(settings).enumerate();
        let others = others.filter(|&(other, _)| other != position);
        let named = others.filter_map(|(_, (&factor, &at))| {
            let amount = self.data.factors[factor].name.clone();
            amount_of(at).map(|value| AmountAt { amount, value })
        });
        named.collect()
    }

    /// Values of an amount that no run has: one above all, and one below.
    fn beyond(&self, factor: usize) -> Option<[f64; 2]> {
        self.data.factors[factor].amounts()?;
        let values = self.data.factors[factor].distinct_amounts();
        let (low, high) = (*values.first()?, *values.last()?);
        let range = high - low;
        let step = if range > 0.0 {
            range
        } else {
            high.abs().max(1.0)
        };
        Some([high + step, low - step])
    }

    /// The levels among these settings; empty when all are amounts.
    fn levels_at(&self, settings: &[At]) -> Vec<TermPiece> {
        let both = self.factors.iter().zip(settings);
        let pieces = both
            .filter_map(|(&factor, &at)| level_of(at).map(|level| Piece::Level { factor, level }));
        pieces
            .map(|piece| piece.named(&self.data.factors))
            .collect()
    }
}

fn amount_of(at: At) -> Option<f64> {
    match at {
        At::Level(_) => None,
        At::Amount(bits) => Some(f64::from_bits(bits)),
    }
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
