//! Which runs share which errors?
//!
//! In: what is known of the measurement, and the blocks. Out: [`Shape`], and the sizes of the known errors at fitted values, [`At`].
//! This module never looks at an observed response.

use std::collections::BTreeMap;

use super::pattern::Pattern;
use crate::regression::asked::{
    ErrorSize, Factor, Measurement, OwnError, ResponseScale, SharedError,
};

/// An effect `relative · response + absolute` of an error on the response of a run, the response being the fitted one.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Size {
    relative: f64,
    absolute: f64,
}

/// Where a run stands at a value of the fit.
#[derive(Debug, Clone, Copy)]
struct Place {
    response: f64,
    /// Change of the response per change of the value of the fit.
    slope: f64,
}

/// Which error an entry is about.
#[derive(Debug, Clone, Copy)]
enum Part {
    /// A known error.
    Known(Size),
    /// A level of the block at this position.
    Block(usize),
}

/// Which runs share which errors, in the order in which the errors are eliminated.
#[derive(Debug, Clone)]
pub(crate) struct Shape {
    /// The entries of run `i` are those from `starts[i]` to `starts[i + 1]`.
    starts: Vec<usize>,
    /// The column of each entry, ascending within a run.
    columns: Vec<usize>,
    parts: Vec<Part>,
    pattern: Pattern,
    /// For each run the slots of the products of its entries, each with itself and those before it.
    products: Vec<usize>,
    own: Vec<OwnError>,
    /// Errors that one run alone has, although a source of several runs might have had them.
    single: Vec<(usize, Size)>,
    /// The block of each column that is a level.
    block_of: Vec<Option<usize>>,
    /// For each block the level of each run.
    levels: Vec<Vec<usize>>,
    level_counts: Vec<usize>,
    scale: ResponseScale,
}

/// The known errors at fitted values.
#[derive(Debug, Clone)]
pub(crate) struct At {
    /// Variance of what each run has for itself.
    pub own: Vec<f64>,
    /// The effect of each entry that is known; 1 for a level of a block.
    pub entries: Vec<f64>,
}

/// An error that several runs share, or a level of a block.
struct Column {
    /// What it does to each of its runs, in run order.
    parts: Vec<(usize, Part)>,
    block: Option<usize>,
}

impl Column {
    /// A known error; effects on the same run are added up, and those of no size are left out.
    fn known(source: &SharedError) -> Self {
        let mut sizes: BTreeMap<usize, Size> = BTreeMap::new();
        for effect in &source.effects {
            let size = sizes.entry(effect.run).or_default();
            match effect.size {
                ErrorSize::Relative(number) => size.relative += number,
                ErrorSize::Absolute(number) => size.absolute += number,
            }
        }
        let sizes = sizes.into_iter().filter(|(_, size)| !size.is_nothing());
        Self {
            parts: sizes.map(|(run, size)| (run, Part::Known(size))).collect(),
            block: None,
        }
    }

    /// The levels of a block that some run has.
    fn levels(block: usize, factor: &Factor) -> impl Iterator<Item = Self> {
        let mut of_levels: Vec<Vec<(usize, Part)>> = vec![Vec::new(); factor.levels().len()];
        for (run, &level) in factor.codes().iter().enumerate() {
            of_levels[level].push((run, Part::Block(block)));
        }
        let used = of_levels.into_iter().filter(|parts| !parts.is_empty());
        used.map(move |parts| Self {
            parts,
            block: Some(block),
        })
    }
}

impl Size {
    fn at(self, place: Place) -> f64 {
        (self.relative * place.response + self.absolute) / place.slope
    }

    fn is_nothing(self) -> bool {
        self == Self::default()
    }
}

impl Shape {
    /// Sorts the errors: small ones first, so that elimination fills in little.
    pub fn new(measurement: &Measurement, runs: usize, blocks: &[&Factor]) -> Self {
        let mut single = Vec::new();
        let mut shared = Vec::new();
        for source in &measurement.shared {
            let column = Column::known(source);
            match column.parts.as_slice() {
                [] => {}
                &[(run, Part::Known(size))] => single.push((run, size)),
                _ => shared.push(column),
            }
        }
        for (block, factor) in blocks.iter().enumerate() {
            shared.extend(Column::levels(block, factor));
        }
        // Of equally small ones the first by its runs goes first, so that chains are taken from one end.
        shared.sort_by_key(|column: &Column| (column.parts.len(), column.parts[0].0));
        let mut of_run: Vec<Vec<(usize, Part)>> = vec![Vec::new(); runs];
        for (position, column) in shared.iter().enumerate() {
            for &(run, part) in &column.parts {
                of_run[run].push((position, part));
            }
        }
        let mut starts = vec![0];
        let (mut columns, mut parts) = (Vec::new(), Vec::new());
        for entries in of_run {
            for (column, part) in entries {
                columns.push(column);
                parts.push(part);
            }
            starts.push(columns.len());
        }
        let pattern = Pattern::of(shared.len(), runs, |run| {
            &columns[starts[run]..starts[run + 1]]
        });
        let mut products = Vec::new();
        for run in 0..runs {
            let own = &columns[starts[run]..starts[run + 1]];
            for (position, &later) in own.iter().enumerate() {
                products.extend(
                    own[..=position]
                        .iter()
                        .map(|&first| pattern.slot(later, first)),
                );
            }
        }
        let own = if measurement.own.is_empty() {
            vec![OwnError::default(); runs]
        } else {
            measurement.own.clone()
        };
        Self {
            block_of: shared.iter().map(|column| column.block).collect(),
            starts,
            columns,
            parts,
            pattern,
            products,
            own,
            single,
            levels: blocks
                .iter()
                .map(|factor| factor.codes().to_vec())
                .collect(),
            level_counts: blocks.iter().map(|factor| factor.levels().len()).collect(),
            scale: ResponseScale::Plain,
        }
    }

    /// The same errors for a fit on another scale.
    pub fn on(self, scale: ResponseScale) -> Self {
        Self { scale, ..self }
    }

    /// The scale of the fit.
    pub fn scale(&self) -> ResponseScale {
        self.scale
    }

    fn place(&self, fitted: f64) -> Place {
        Place {
            response: self.scale.response(fitted),
            slope: self.scale.slope(fitted),
        }
    }

    /// The sizes of the known errors where the fit has these values, on its scale.
    pub fn at(&self, fitted: &[f64]) -> At {
        let places: Vec<Place> = fitted.iter().map(|&value| self.place(value)).collect();
        let squares = |own: &OwnError, place: Place| {
            let grown = own.relative * place.response;
            (grown * grown + own.absolute * own.absolute) / (place.slope * place.slope)
        };
        let mut own: Vec<f64> = self
            .own
            .iter()
            .zip(&places)
            .map(|(own, &place)| squares(own, place))
            .collect();
        for &(run, size) in &self.single {
            let effect = size.at(places[run]);
            own[run] += effect * effect;
        }
        let mut entries = Vec::with_capacity(self.parts.len());
        for (run, &place) in places.iter().enumerate() {
            entries.extend(self.parts[self.entries(run)].iter().map(|part| match part {
                Part::Known(size) => size.at(place),
                Part::Block(_) => 1.0,
            }));
        }
        At { own, entries }
    }

    /// Whether an error depends on the fitted values.
    pub fn depends_on_values(&self) -> bool {
        let moves = |relative: f64, absolute: f64| match self.scale {
            ResponseScale::Plain => relative != 0.0,
            ResponseScale::Logit => relative != 0.0 || absolute != 0.0,
        };
        let known =
            |part: &Part| matches!(part, Part::Known(size) if moves(size.relative, size.absolute));
        self.own.iter().any(|own| moves(own.relative, own.absolute))
            || self
                .single
                .iter()
                .any(|(_, size)| moves(size.relative, size.absolute))
            || self.parts.iter().any(known)
    }

    /// The mean over the runs of the variances that measurement adds, in the squared unit of the response.
    pub fn mean_variances(&self) -> MeanVariances {
        let mut found = MeanVariances::default();
        let share = 1.0 / self.runs() as f64;
        for own in &self.own {
            let parts = [(own.relative, 0.0), (0.0, own.absolute)];
            for (relative, absolute) in parts {
                found.own.add(Size { relative, absolute }, share);
            }
        }
        for &(_, size) in &self.single {
            found.own.add(size, share);
        }
        for part in &self.parts {
            if let Part::Known(size) = part {
                found.shared.add(*size, share);
            }
        }
        found
    }

    /// The variance that measurement adds to each run, shared errors included, on the scale of the fit.
    pub fn known_variances(&self, at: &At) -> Vec<f64> {
        (0..self.runs())
            .map(|run| {
                let entries = self.entries(run);
                let shared: f64 = self.parts[entries.clone()]
                    .iter()
                    .zip(&at.entries[entries])
                    .filter(|(part, _)| matches!(part, Part::Known(_)))
                    .map(|(_, effect)| effect * effect)
                    .sum();
                at.own[run] + shared
            })
            .collect()
    }

    /// How many runs there are.
    pub fn runs(&self) -> usize {
        self.own.len()
    }

    /// How many blocks there are.
    pub fn blocks(&self) -> usize {
        self.levels.len()
    }

    /// The level of each run in a block.
    pub fn levels(&self, block: usize) -> &[usize] {
        &self.levels[block]
    }

    /// How many levels a block has, those without runs included.
    pub fn level_count(&self, block: usize) -> usize {
        self.level_counts[block]
    }

    /// The block whose level a column is.
    pub fn block_of(&self, column: usize) -> Option<usize> {
        self.block_of[column]
    }

    /// The entries of a run.
    pub fn entries(&self, run: usize) -> std::ops::Range<usize> {
        self.starts[run]..self.starts[run + 1]
    }

    /// The column of each entry.
    pub fn columns(&self) -> &[usize] {
        &self.columns
    }

    /// The block of an entry that belongs to a level.
    pub fn entry_block(&self, entry: usize) -> Option<usize> {
        match self.parts[entry] {
            Part::Known(_) => None,
            Part::Block(block) => Some(block),
        }
    }

    /// Where `I + WᵀW` has entries.
    pub fn pattern(&self) -> &Pattern {
        &self.pattern
    }

    /// Hands out for each run its entries and the slots of their products.
    pub fn each_product(&self, mut take: impl FnMut(usize, std::ops::Range<usize>, &[usize])) {
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
