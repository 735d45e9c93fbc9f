//! Which runs share which errors, and how large these are at fitted values.
//!
//! In: what is known of the measurement, and the blocks. Out: [`Shape`], and the sizes of the known errors at fitted values, [`At`].
//! This module never looks at an observed response.

use std::ops::Range;

use super::error_columns::{Column, Place, Size};
use super::sparse_factor::Pattern;
use crate::regression::asked::{Factor, Measurement, ResponseScale};

/// Which runs share which errors, in the order in which the errors are eliminated.
#[derive(Debug, Clone)]
pub(crate) struct Shape {
    /// The scale of the fit.
    pub scale: ResponseScale,
    /// The entries of run `i` are those from `starts[i]` to `starts[i + 1]`.
    starts: Vec<usize>,
    /// The column of each entry, ascending within a run.
    pub columns: Vec<usize>,
    /// The size of each entry that is a known error; None for a level of a block.
    known: Vec<Option<Size>>,
    /// Where `I + WᵀW` has entries.
    pub pattern: Pattern,
    /// For each run the slots of the products of its entries, each with itself and those before it.
    products: Vec<usize>,
    /// What each run has for itself.
    own: Vec<Size>,
    /// For each run the place of its variance from run to run; one serves all where scatter is even.
    pub groups: Vec<usize>,
    /// How many variances from run to run there are.
    pub group_count: usize,
    /// Errors that one run alone has, although a source of several runs might have had them.
    single: Vec<(usize, Size)>,
    /// The block of each column that is a level.
    pub block_of: Vec<Option<usize>>,
    /// For each block the level of each run.
    pub levels: Vec<Vec<usize>>,
    /// For each block how many levels it has, those without runs included.
    pub level_counts: Vec<usize>,
}

/// The known errors at fitted values.
#[derive(Debug, Clone)]
pub(crate) struct At {
    /// Variance of what each run has for itself.
    pub own: Vec<f64>,
    /// The effect of each entry that is known; 1 for a level of a block.
    pub entries: Vec<f64>,
}

impl Shape {
    /// Sorts the errors for a fit on a scale; of those that act on the same runs as few as say the same.
    pub fn new(
        measurement: &Measurement,
        runs: usize,
        blocks: &[&Factor],
        scale: ResponseScale,
    ) -> Self {
        let known = Column::few(Column::of_errors(&measurement.shared));
        Self::of(known, measurement, runs, blocks, scale)
    }

    /// The same with a column for each error, for whoever draws one after another.
    pub fn of_each_error(measurement: &Measurement, runs: usize, scale: ResponseScale) -> Self {
        let known = Column::of_errors(&measurement.shared);
        Self::of(known, measurement, runs, &[], scale)
    }

    /// Small errors first, so that elimination fills in little.
    fn of(
        known: Vec<Column>,
        measurement: &Measurement,
        runs: usize,
        blocks: &[&Factor],
        scale: ResponseScale,
    ) -> Self {
        let mut single = Vec::new();
        let mut shared = Vec::new();
        for column in known {
            match column.parts.as_slice() {
                [] => {}
                &[(run, Some(size))] => single.push((run, size)),
                _ => shared.push(column),
            }
        }
        for (block, factor) in blocks.iter().enumerate() {
            shared.extend(Column::levels(block, factor));
        }
        // Of equally small ones the first by its runs goes first, so that chains are taken from one end.
        shared.sort_by_key(|column: &Column| (column.parts.len(), column.parts[0].0));
        let mut of_run: Vec<Vec<(usize, Option<Size>)>> = vec![Vec::new(); runs];
        for (position, column) in shared.iter().enumerate() {
            for &(run, size) in &column.parts {
                of_run[run].push((position, size));
            }
        }
        let mut starts = vec![0];
        for entries in &of_run {
            starts.push(starts[starts.len() - 1] + entries.len());
        }
        let (columns, known): (Vec<usize>, Vec<Option<Size>>) =
            of_run.into_iter().flatten().unzip();
        let of_run = |run: usize| &columns[starts[run]..starts[run + 1]];
        let pattern = Pattern::of(shared.len(), runs, of_run);
        let mut products = Vec::new();
        for own in (0..runs).map(of_run) {
            for (position, &later) in own.iter().enumerate() {
                let slots = own[..=position].iter();
                products.extend(slots.map(|&first| pattern.slot(later, first)));
            }
        }
        let mut own = vec![Size::default(); runs];
        for (size, known) in own.iter_mut().zip(&measurement.own) {
            (size.relative, size.absolute) = (known.relative, known.absolute);
        }
        Self {
            scale,
            block_of: shared.iter().map(|column| column.block).collect(),
            starts,
            columns,
            known,
            pattern,
            products,
            own,
            groups: vec![0; runs],
            group_count: 1,
            single,
            levels: blocks
                .iter()
                .map(|factor| factor.codes().to_vec())
                .collect(),
            level_counts: blocks.iter().map(|factor| factor.levels().len()).collect(),
        }
    }

    /// The same where groups of runs have a variance from run to run of their own; `groups` has one place a run.
    pub fn with_groups(mut self, groups: Vec<usize>, count: usize) -> Self {
        self.groups = groups;
        self.group_count = count;
        self
    }

    /// The sizes of the known errors where the fit has these values, on its scale.
    pub fn at(&self, fitted: &[f64]) -> At {
        let place = |&value: &f64| Place {
            response: self.scale.response(value),
            slope: self.scale.slope(value),
        };
        let places: Vec<Place> = fitted.iter().map(place).collect();
        let square = |(own, place): (&Size, &Place)| {
            let grown = own.relative * place.response;
            (grown * grown + own.absolute * own.absolute) / (place.slope * place.slope)
        };
        let mut own: Vec<f64> = self.own.iter().zip(&places).map(square).collect();
        for &(run, size) in &self.single {
            let effect = size.at(places[run]);
            own[run] += effect * effect;
        }
        let mut entries = Vec::with_capacity(self.known.len());
        for (run, &place) in places.iter().enumerate() {
            let known = self.known[self.entries(run)].iter();
            entries.extend(known.map(|size| size.map_or(1.0, |size| size.at(place))));
        }
        At { own, entries }
    }

    /// Whether an error depends on the fitted values.
    pub fn depends_on_values(&self) -> bool {
        let single = self.single.iter().map(|(_, size)| size);
        let mut sizes = self
            .own
            .iter()
            .chain(single)
            .chain(self.known.iter().flatten());
        sizes.any(|size| {
            let absolute = self.scale == ResponseScale::Logit && size.absolute != 0.0;
            size.relative != 0.0 || absolute
        })
    }

    /// The mean over the runs of the variances that measurement adds, in the squared unit of the response.
    pub fn mean_variances(&self) -> MeanVariances {
        let mut found = MeanVariances::default();
        let share = 1.0 / self.runs() as f64;
        for &Size { relative, absolute } in &self.own {
            for (relative, absolute) in [(relative, 0.0), (0.0, absolute)] {
                found.own.add(Size { relative, absolute }, share);
            }
        }
        for &(_, size) in &self.single {
            found.own.add(size, share);
        }
        for &size in self.known.iter().flatten() {
            found.shared.add(size, share);
        }
        found
    }

    /// The variance that measurement adds to each run, shared errors included, on the scale of the fit.
    pub fn known_variances(&self, at: &At) -> Vec<f64> {
        let of_run = |run: usize| {
            let entries = self.entries(run);
            let sizes = self.known[entries.clone()].iter().zip(&at.entries[entries]);
            let known = sizes.filter(|(size, _)| size.is_some());
            at.own[run] + known.map(|(_, effect)| effect * effect).sum::<f64>()
        };
        (0..self.runs()).map(of_run).collect()
    }

    /// How many runs there are.
    pub fn runs(&self) -> usize {
        self.own.len()
    }

    /// How many blocks there are.
    pub fn blocks(&self) -> usize {
        self.levels.len()
    }

    /// The block of an entry that belongs to a level.
    pub fn entry_block(&self, entry: usize) -> Option<usize> {
        self.block_of[self.columns[entry]]
    }

    /// The entries of a run.
    pub fn entries(&self, run: usize) -> Range<usize> {
        self.starts[run]..self.starts[run + 1]
    }

    /// Hands out for each run its entries and the slots of their products.
    pub fn each_product(&self, mut take: impl FnMut(usize, Range<usize>, &[usize])) {
        let mut first = 0;
        for run in 0..self.runs() {
            let entries = self.entries(run);
            let count = entries.len() * (entries.len() + 1) / 2;
            take(run, entries, &self.products[first..first + count]);
            first += count;
        }
    }
}

/// Mean variances that measurement adds to one run.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct MeanVariances {
    /// From what a run has for itself.
    pub own: ByValue,
    /// From errors that several runs share.
    pub shared: ByValue,
}

/// A variance that grows with the value of the response.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct ByValue {
    constant: f64,
    linear: f64,
    square: f64,
}

impl ByValue {
    fn add(&mut self, size: Size, share: f64) {
        self.constant += share * size.absolute * size.absolute;
        self.linear += share * 2.0 * size.relative * size.absolute;
        self.square += share * size.relative * size.relative;
    }

    /// The variance where the response has this value.
    pub fn at(&self, value: f64) -> f64 {
        // Rounding may leave a sum of squares below zero.
        (self.constant + value * (self.linear + value * self.square)).max(0.0)
    }
}
