//! How well does the whole method repeat itself, and how much of that is measurement?
//!
//! In: runs that were made alike. Out: [`Repeatability`].
//! This module never calls runs alike that differ in lot, level or amount.

use std::collections::BTreeMap;

use crate::campaign::{Campaign, FactorKind};
use crate::distributions::chi_squared_upper;
use crate::measured::{Measured, SourceId};
use crate::runs::{FactorColumn, FactorValues, Runs};

/// Scatter of runs that were made alike, beside what measurement explains.
#[derive(Debug, Clone)]
pub struct Repeatability {
    /// Groups of two or more runs made alike.
    pub groups: usize,
    /// Runs in these groups.
    pub runs: usize,
    /// Pooled standard deviation of the contained yield [fraction].
    pub deviation: f64,
    /// Its degrees of freedom.
    pub degrees_of_freedom: usize,
    /// Standard deviation that the errors which runs of a lot do not share explain [fraction].
    pub explained: f64,
    /// What remains [fraction]; 0 when measurement explains all.
    pub process: f64,
    /// Chance of as much scatter from measurement alone.
    pub chance: Option<f64>,
}

/// Standard deviation from run to run that measurement alone would cause: the root mean square of what each yield
/// owes to sources that no other run shares [fraction]; `None` without any yield.
pub(super) fn measurement_alone(runs: &Runs) -> Option<f64> {
    let yields: Vec<&Measured> = runs
        .results
        .iter()
        .filter(|run| run.set_aside.is_none())
        .filter_map(|run| run.contained.as_ref().ok())
        .collect();
    let mut holders: BTreeMap<SourceId, usize> = BTreeMap::new();
    for (source, _) in yields.iter().flat_map(|value| value.parts()) {
        *holders.entry(*source).or_insert(0) += 1;
    }
    let own: f64 = yields
        .iter()
        .flat_map(|value| value.parts())
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
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for run in 0..runs.results.len() {
        if runs.results[run].set_aside.is_some() || runs.results[run].contained.is_err() {
            continue;
        }
        let home = groups
            .iter_mut()
            .find(|group| group.iter().all(|other| alike(campaign, runs, run, *other)));
        match home {
            Some(group) => group.push(run),
            None => groups.push(vec![run]),
        }
    }
    groups.retain(|group| group.len() > 1);
    let mut square = 0.0;
    let mut expected = 0.0;
    let mut degrees = 0;
    for group in &groups {
        let yields: Vec<&Measured> = group
            .iter()
            .filter_map(|run| runs.results[*run].contained.as_ref().ok())
            .collect();
        let mean = Measured::sum(yields.iter().copied()) / yields.len() as f64;
        for value in &yields {
            let off = *value - &mean;
            square += off.value().powi(2);
            expected += off.uncertainty().powi(2);
        }
        degrees += yields.len() - 1;
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

/// Whether two runs have one lot, the same levels and amounts that count as the same.
fn alike(campaign: &Campaign, runs: &Runs, one: usize, other: usize) -> bool {
    runs.results[one].lot == runs.results[other].lot
        && runs.factors.iter().all(|factor| match &factor.values {
            FactorValues::Choice { codes, .. } => {
                codes[one].is_some() && codes[one] == codes[other]
            }
            FactorValues::Amount(values) => match (values[one], values[other]) {
                (Some(a), Some(b)) => (a - b).abs() <= same_within(campaign, factor),
                _ => false,
            },
        })
}

/// How far apart two values of an amount may be and still count as the same.
fn same_within(campaign: &Campaign, factor: &FactorColumn) -> f64 {
    campaign
        .factors
        .iter()
        .find(|plan| plan.name == factor.name)
        .and_then(|plan| match &plan.kind {
            FactorKind::Amount { same_within, .. } => *same_within,
            FactorKind::Choice { .. } => None,
        })
        .unwrap_or(0.0)
}
