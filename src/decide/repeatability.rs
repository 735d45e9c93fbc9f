//! Scatter of runs that were made alike, and how much of it measurement explains.
//!
//! In: runs that were made alike. Out: [`Repeatability`].
//! This module never calls runs alike that differ in lot, level or amount.

use std::collections::BTreeMap;

use crate::campaign::{Campaign, FactorKind};
use crate::distributions::chi_squared_upper;
use crate::measured::{Measured, SourceId};
use crate::runs::{FactorValues, Runs};

/// Scatter of runs that were made alike, beside what measurement explains.
#[derive(Debug, Clone)]
pub struct Repeatability {
    /// Groups of two or more runs made alike.
    pub groups: usize,
    /// Runs in these groups.
    pub runs: usize,
    /// Pooled standard deviation of the contained yield \[fraction\].
    pub deviation: f64,
    /// Its degrees of freedom.
    pub degrees_of_freedom: usize,
    /// Standard deviation that the errors which runs of a lot do not share explain \[fraction\].
    pub explained: f64,
    /// What remains \[fraction\]; 0 when measurement explains all.
    pub process: f64,
    /// Chance of as much scatter from measurement alone.
    pub chance: Option<f64>,
}

/// Standard deviation from run to run that measurement alone would cause: the root mean square of what each yield
/// owes to sources that no other run shares \[fraction\]; `None` without any yield.
///
/// `√(Σ cᵢⱼ² / n)` over the contributions `cᵢⱼ` of sources `j` to the yields of `n` runs that one run alone rests on.
pub(super) fn measurement_alone(runs: &Runs) -> Option<f64> {
    let yields = runs.counted().filter_map(|run| run.contained.as_ref().ok());
    let yields: Vec<&Measured> = yields.collect();
    let parts = || yields.iter().flat_map(|value| value.parts());
    let mut holders: BTreeMap<SourceId, usize> = BTreeMap::new();
    for (source, _) in parts() {
        *holders.entry(*source).or_insert(0) += 1;
    }
    let own: f64 = parts()
        .filter(|(source, _)| holders[source] == 1)
        .map(|(_, contribution)| contribution * contribution)
        .sum();
    (!yields.is_empty()).then(|| (own / yields.len() as f64).sqrt())
}

/// Pools the scatter of runs made alike; `None` without any.
///
/// `s² = Σ (yᵢⱼ − ȳᵢ)² / Σ (nᵢ − 1)`, against the same sum expected of the errors that the runs do not share.
///
/// # Source
/// ISO 5725-2:1994, 7.4 (repeatability variance); χ² test of a variance, NIST/SEMATECH e-Handbook 1.3.5.8.
pub(super) fn repeatability(campaign: &Campaign, runs: &Runs) -> Option<Repeatability> {
    let mut groups: Vec<Vec<(usize, &Measured)>> = Vec::new();
    // Only runs of one lot with the same levels can be alike.
    let mut of_levels: BTreeMap<(Option<&str>, Vec<usize>), Vec<usize>> = BTreeMap::new();
    for (position, run) in runs.results.iter().enumerate() {
        let Some(contained) = run
            .contained
            .as_ref()
            .ok()
            .filter(|_| run.set_aside.is_none())
        else {
            continue;
        };
        let Some(levels) = levels(runs, position) else {
            groups.push(vec![(position, contained)]);
            continue;
        };
        let near = of_levels.entry((run.lot.as_deref(), levels)).or_default();
        let is_home = |group: &&usize| {
            let mut group = groups[**group].iter();
            group.all(|(other, _)| amounts_alike(campaign, runs, position, *other))
        };
        match near.iter().find(is_home) {
            Some(group) => groups[*group].push((position, contained)),
            None => {
                near.push(groups.len());
                groups.push(vec![(position, contained)]);
            }
        }
    }
    groups.retain(|group| group.len() > 1);
    let mut square = 0.0;
    let mut expected = 0.0;
    let mut degrees = 0;
    for group in &groups {
        let mean = Measured::sum(group.iter().map(|(_, value)| *value)) / group.len() as f64;
        for (_, value) in group {
            let off = *value - &mean;
            square += off.value().powi(2);
            expected += off.uncertainty().powi(2);
        }
        degrees += group.len() - 1;
    }
    if degrees == 0 {
        return None;
    }
    let variance = square / degrees as f64;
    let explained = expected / degrees as f64;
    Some(Repeatability {
        groups: groups.len(),
        runs: groups.iter().map(Vec::len).sum(),
        deviation: variance.sqrt(),
        degrees_of_freedom: degrees,
        explained: explained.sqrt(),
        process: (variance - explained).max(0.0).sqrt(),
        chance: (explained > 0.0)
            .then(|| chi_squared_upper(square / explained, degrees as f64))
            .flatten(),
    })
}

/// The levels of a run, in the order of the choices; `None` where one is not known, so that it is like no other.
fn levels(runs: &Runs, run: usize) -> Option<Vec<usize>> {
    let choices = runs
        .factors
        .iter()
        .filter_map(|factor| match &factor.values {
            FactorValues::Choice { codes, .. } => Some(codes[run]),
            FactorValues::Amount(_) => None,
        });
    choices.collect()
}

/// Whether two runs have amounts that count as the same.
fn amounts_alike(campaign: &Campaign, runs: &Runs, one: usize, other: usize) -> bool {
    runs.factors.iter().all(|factor| match &factor.values {
        FactorValues::Choice { .. } => true,
        FactorValues::Amount(values) => {
            let apart = values[one].zip(values[other]).map(|(a, b)| (a - b).abs());
            apart.is_some_and(|apart| apart <= same_within(campaign, &factor.name))
        }
    })
}

/// How far apart two values of an amount may be and still count as the same, in the unit of the factor.
pub fn same_within(campaign: &Campaign, factor: &str) -> f64 {
    let stated = campaign.factor(factor).and_then(|plan| match &plan.kind {
        FactorKind::Amount { same_within, .. } => *same_within,
        FactorKind::Choice { .. } => None,
    });
    stated.unwrap_or(0.0)
}
