//! Which errors do the responses of several runs share, and which has each for itself?
//!
//! In: results of runs. Out: [`ResponseErrors`], contributions by source.
//! This module never combines errors into one figure.

use std::collections::BTreeMap;

use super::{ResponseKind, Runs};
use crate::measured::{Growth, Measured, SourceId};

/// Errors of one response over some runs.
#[derive(Debug, Clone, Default)]
pub struct ResponseErrors {
    /// Errors that two or more of the runs share.
    pub shared: Vec<SharedSource>,
    /// What each run has for itself, in the order of the runs.
    pub own: Vec<OwnSources>,
}

/// One source and what it does to each run that it reaches.
#[derive(Debug, Clone)]
pub struct SharedSource {
    /// Name in the budget.
    pub name: String,
    /// How it changes with the response.
    pub growth: Growth,
    /// Contributions, signed: per unit of the response where it grows with it, else in its unit.
    pub contributions: Vec<Contribution>,
}

/// What a source does to one run.
#[derive(Debug, Clone, Copy)]
pub struct Contribution {
    /// Position of the run.
    pub run: usize,
    /// Its size.
    pub size: f64,
}

/// Standard uncertainty of one run from sources that it shares with no other.
#[derive(Debug, Clone, Copy, Default)]
pub struct OwnSources {
    /// From sources that grow with the response, per unit of it.
    pub relative: f64,
    /// From the others, in the unit of the response.
    pub fixed: f64,
}

/// Errors of a response; nothing for a logged column.
///
/// `runs` are positions in the results, each with a value of the response.
pub fn errors_of(runs: &Runs, response: ResponseKind, positions: &[usize]) -> ResponseErrors {
    let values: Vec<&Measured> = positions
        .iter()
        .filter_map(|position| {
            let run = &runs.results[*position];
            match response {
                ResponseKind::Yield => run.contained.as_ref().ok(),
                ResponseKind::Purity => run.purity.as_ref().ok(),
                ResponseKind::Declared => None,
            }
        })
        .collect();
    if values.len() != positions.len() {
        return ResponseErrors::default();
    }
    let mut by_source: BTreeMap<SourceId, Vec<Contribution>> = BTreeMap::new();
    for (run, value) in values.iter().enumerate() {
        for (source, contribution) in value.parts() {
            if *contribution != 0.0 {
                by_source.entry(*source).or_default().push(Contribution {
                    run,
                    size: *contribution,
                });
            }
        }
    }
    let mut errors = ResponseErrors {
        shared: Vec::new(),
        own: vec![OwnSources::default(); values.len()],
    };
    let mut squares = vec![OwnSources::default(); values.len()];
    for (source, contributions) in by_source {
        let known = runs.sources.get(source);
        let scaled: Vec<Contribution> = contributions
            .into_iter()
            .map(|c| match known.growth {
                Growth::WithResult => Contribution {
                    run: c.run,
                    size: c.size / values[c.run].value(),
                },
                Growth::Fixed => c,
            })
            .filter(|c| c.size.is_finite())
            .collect();
        match (scaled.as_slice(), known.growth) {
            ([one], Growth::WithResult) => squares[one.run].relative += one.size * one.size,
            ([one], Growth::Fixed) => squares[one.run].fixed += one.size * one.size,
            _ => errors.shared.push(SharedSource {
                name: known.name.clone(),
                growth: known.growth,
                contributions: scaled,
            }),
        }
    }
    for (own, square) in errors.own.iter_mut().zip(squares) {
        *own = OwnSources {
            relative: square.relative.sqrt(),
            fixed: square.fixed.sqrt(),
        };
    }
    errors
}
