//! Errors of the responses of some runs, as a fit takes them: shared, or of one run alone.
//!
//! In: results of runs. Out: [`Measurement`], contributions by source.
//! This module never estimates an error.

use std::collections::BTreeMap;

use crate::measured::{Growth, Measured, SourceId};
use crate::regression::{ErrorEffect, ErrorSize, Measurement, OwnError, SharedError};
use crate::runs::{ResponseKind, Runs};

/// Errors of a response that was worked out; nothing for a logged column.
///
/// A source that two or more of the runs share keeps its contribution to each, signed, per unit of the response where it
/// grows with it. What a run shares with no other is the root of the sum of squares.
///
/// # Units and shapes
/// `positions` are those of runs in the results, each with a value of the response.
/// # Source
/// JCGM 100:2008, 5.1.2 and annex F.1.2.3: contributions `∂y/∂x·u(x)`, shared sources by their covariance.
pub fn measurement(runs: &Runs, response: ResponseKind, positions: &[usize]) -> Measurement {
    measurement_with(runs, response, positions, &|_| 1.0)
}

/// The same with the standard uncertainty of each source at a part of what it is.
pub(super) fn measurement_with(
    runs: &Runs,
    response: ResponseKind,
    positions: &[usize],
    part: &dyn Fn(SourceId) -> f64,
) -> Measurement {
    let results = positions.iter().map(|position| &runs.results[*position]);
    let values: Option<Vec<&Measured>> = results.map(|run| response.of(run)).collect();
    let values = values.unwrap_or_default();
    let mut by_source: BTreeMap<SourceId, Vec<ErrorEffect>> = BTreeMap::new();
    for (run, value) in values.iter().enumerate() {
        for (source, contribution) in value.parts() {
            let contribution = contribution * part(*source);
            let size = match runs.sources.get(*source).growth {
                Growth::WithResult => ErrorSize::Relative(contribution / value.value()),
                Growth::Fixed => ErrorSize::Absolute(contribution),
            };
            if contribution != 0.0 {
                let known = size.number().is_finite();
                let effects = by_source.entry(*source).or_default();
                effects.extend(known.then_some(ErrorEffect { run, size }));
            }
        }
    }
    let mut shared = Vec::new();
    let mut own = vec![OwnError::default(); values.len()];
    for (source, effects) in by_source {
        match effects[..] {
            [ErrorEffect { run, size }] => match size {
                ErrorSize::Relative(size) => own[run].relative += size * size,
                ErrorSize::Absolute(size) => own[run].absolute += size * size,
            },
            _ => shared.push(SharedError {
                name: runs.sources.get(source).name.to_string(),
                effects,
            }),
        }
    }
    for own in &mut own {
        own.relative = own.relative.sqrt();
        own.absolute = own.absolute.sqrt();
    }
    Measurement { shared, own }
}
