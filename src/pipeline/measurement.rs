//! Errors of the responses of some runs, as a fit takes them: shared, or of one run alone.
//!
//! In: results of runs. Out: [`Measurement`], contributions by source.
//! This module never estimates an error.

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
    let mut effects: Vec<(SourceId, ErrorEffect)> = Vec::new();
    for (run, value) in values.iter().enumerate() {
        for (source, contribution) in value.parts() {
            let contribution = contribution * part(*source);
            let size = match runs.sources.get(*source).growth {
                Growth::WithResult => ErrorSize::Relative(contribution / value.value()),
                Growth::Fixed => ErrorSize::Absolute(contribution),
            };
            if contribution != 0.0 {
                let known = size.number().is_finite();
                effects.extend(known.then_some((*source, ErrorEffect { run, size })));
            }
        }
    }
    let mut shared = Vec::new();
    let mut own = vec![OwnError::default(); values.len()];
    // Stable: of each source the runs stay in their order.
    effects.sort_by_key(|(source, _)| *source);
    for of_source in effects.chunk_by(|(one, _), (other, _)| one == other) {
        match of_source {
            [(_, ErrorEffect { run, size })] => match size {
                ErrorSize::Relative(size) => own[*run].relative += size * size,
                ErrorSize::Absolute(size) => own[*run].absolute += size * size,
            },
            [(source, _), ..] => shared.push(SharedError {
                name: runs.sources.get(*source).name.to_string(),
                effects: of_source.iter().map(|(_, effect)| *effect).collect(),
            }),
            [] => {}
        }
    }
    for own in &mut own {
        own.relative = own.relative.sqrt();
        own.absolute = own.absolute.sqrt();
    }
    Measurement { shared, own }
}
