//! Errors that several runs share, each a column of sizes.
//!
//! In: what is known of the measurement, and blocks. Out: a [`Column`] for each error or level, and as few of them as say the same.
//! This module never looks at a response.

use std::collections::BTreeMap;

use super::few_columns::few_columns;
use crate::regression::asked::{ErrorEffect, ErrorSize, Factor, Measurement, SharedError};

/// An effect `relative · response + absolute` of an error on the response of a run, the response being the fitted one.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Size {
    pub relative: f64,
    pub absolute: f64,
}

/// Where a run stands at a value of the fit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    pub response: f64,
    /// Change of the response per change of the value of the fit.
    pub slope: f64,
}

/// Effects below this part of the largest are rounding: propagation leaves about 1e-16.
const ROUNDING: f64 = 1e-12;

/// An error that several runs share, or a level of a block.
pub(super) struct Column {
    /// The runs in their order, with the size of a known error.
    pub parts: Vec<(usize, Option<Size>)>,
    pub block: Option<usize>,
}

impl Column {
    /// A known error; effects on the same run are added up, and those of no size are left out: an error that cancels leaves its
    /// rounding behind, and by the digits of the log alone it would count or not.
    fn known(source: &SharedError, largest: Size) -> Self {
        let mut effects: Vec<&ErrorEffect> = source.effects.iter().collect();
        effects.sort_by_key(|effect| effect.run);
        let of_runs = effects.chunk_by(|one, other| one.run == other.run);
        let parts = of_runs.filter_map(|of_run| {
            let mut size = Size::default();
            for effect in of_run {
                match effect.size {
                    ErrorSize::Relative(number) => size.relative += number,
                    ErrorSize::Absolute(number) => size.absolute += number,
                }
            }
            let counts = size.relative.abs() > ROUNDING * largest.relative
                || size.absolute.abs() > ROUNDING * largest.absolute;
            counts.then_some((of_run[0].run, Some(size)))
        });
        Self {
            parts: parts.collect(),
            block: None,
        }
    }

    /// The known errors, each a column.
    pub fn of_errors(shared: &[SharedError]) -> Vec<Self> {
        let largest = Size::largest(shared);
        let known = |source| Self::known(source, largest);
        shared.iter().map(known).collect()
    }

    /// As few columns as have the same covariance, where several act on the same runs.
    pub fn few(columns: Vec<Self>) -> Vec<Self> {
        let mut alike: BTreeMap<Vec<usize>, Vec<Self>> = BTreeMap::new();
        for column in columns {
            let runs = column.parts.iter().map(|(run, _)| *run).collect();
            alike.entry(runs).or_default().push(column);
        }
        let mut few = Vec::new();
        for (runs, columns) in alike {
            if columns.len() == 1 {
                few.extend(columns);
                continue;
            }
            let sizes = |column: &Self| {
                let sizes = column.parts.iter().filter_map(|(_, size)| *size);
                sizes
                    .flat_map(|size| [size.relative, size.absolute])
                    .collect()
            };
            let sizes: Vec<Vec<f64>> = columns.iter().map(sizes).collect();
            few.extend(few_columns(&sizes).iter().map(|sizes| {
                let parts = runs.iter().zip(sizes.chunks_exact(2));
                let parts = parts.filter(|(_, size)| **size != [0.0; 2]);
                let part = |(&run, size): (&usize, &[f64])| {
                    let [relative, absolute] = [size[0], size[1]];
                    (run, Some(Size { relative, absolute }))
                };
                let (parts, block) = (parts.map(part).collect(), None);
                Self { parts, block }
            }));
        }
        few
    }

    /// The levels of a block that some run has.
    pub fn levels(block: usize, factor: &Factor) -> impl Iterator<Item = Self> {
        let mut of_levels = vec![Vec::new(); factor.levels().len()];
        for (run, &level) in factor.codes().iter().enumerate() {
            of_levels[level].push((run, None));
        }
        let used = of_levels.into_iter().filter(|parts| !parts.is_empty());
        let block = Some(block);
        used.map(move |parts| Self { parts, block })
    }
}

/// The same errors told by as few that runs share as say the same, for whoever fits to them many times.
pub(crate) fn told_by_few(measurement: &Measurement) -> Measurement {
    let few = Column::few(Column::of_errors(&measurement.shared)).into_iter();
    let shared = few.map(|column| {
        let parts = column.parts.into_iter();
        let sized = parts.filter_map(|(run, size)| Some((run, size?)));
        let effects = sized.flat_map(|(run, size)| {
            let sizes = [
                ErrorSize::Relative(size.relative),
                ErrorSize::Absolute(size.absolute),
            ];
            let sizes = sizes.into_iter().filter(|size| size.number() != 0.0);
            sizes.map(move |size| ErrorEffect { run, size })
        });
        SharedError {
            name: String::new(),
            effects: effects.collect(),
        }
    });
    Measurement {
        shared: shared.collect(),
        own: measurement.own.clone(),
    }
}

impl Size {
    /// The largest effects of either kind that errors in common have.
    fn largest(shared: &[SharedError]) -> Self {
        let mut largest = Size::default();
        for effect in shared.iter().flat_map(|source| &source.effects) {
            match effect.size {
                ErrorSize::Relative(number) => {
                    largest.relative = largest.relative.max(number.abs());
                }
                ErrorSize::Absolute(number) => {
                    largest.absolute = largest.absolute.max(number.abs());
                }
            }
        }
        largest
    }

    /// The effect there.
    pub fn at(self, place: Place) -> f64 {
        (self.relative * place.response + self.absolute) / place.slope
    }
}
