//! The coded rows of the runs.
//!
//! In: the design, its coding and the runs. Out: coded rows, one at a time.
//! This module never keeps a row; rows are whitened elsewhere.

use twofloat::TwoFloat;

use super::coding::Coding;
use crate::regression::asked::{Design, FitData};

/// Entries of the design up to which its rows are formed in doubled precision for refinement.
///
/// Above it there are so many runs that rounding of single rows no longer shows.
const DOUBLED_ENTRIES: usize = 100_000;

/// The runs as rows of the coded design.
#[derive(Clone, Copy)]
pub(crate) struct Runs<'a> {
    pub design: &'a Design,
    pub coding: &'a Coding,
    pub data: &'a FitData,
    /// Taken off the response before the first solution; the constant takes it back.
    pub shift: f64,
    /// Whether plain precision is enough.
    pub rough: bool,
}

impl<'a> Runs<'a> {
    pub fn new(design: &'a Design, coding: &'a Coding, data: &'a FitData) -> Self {
        let mean = data.response.iter().sum::<f64>() / data.response.len() as f64;
        let constant = design.constant_column().is_some();
        Self {
            design,
            coding,
            data,
            shift: if constant { mean } else { 0.0 },
            rough: false,
        }
    }

    pub fn len(&self) -> usize {
        self.data.runs.len()
    }

    pub fn columns(&self) -> usize {
        self.design.columns.len()
    }

    /// The coded row of one run.
    pub fn row(&self, run: usize, row: &mut [f64]) {
        self.coding.row(self.design, self.data, run, row);
    }

    /// The response of one run without the shift.
    pub fn shifted(&self, run: usize) -> f64 {
        self.data.response[run] - self.shift
    }

    /// Whether rows are formed in doubled precision.
    pub fn doubled(&self) -> bool {
        !self.rough && self.len() * self.columns() <= DOUBLED_ENTRIES
    }

    /// These columns, in doubled precision.
    pub fn doubled_columns(&self, positions: &[usize]) -> Vec<Vec<TwoFloat>> {
        let mut columns = vec![Vec::with_capacity(self.len()); positions.len()];
        self.each_doubled(|_, row| {
            for (column, &position) in columns.iter_mut().zip(positions) {
                column.push(row[position]);
            }
        });
        columns
    }

    /// Hands out the coded row of each run in doubled precision, in run order.
    pub fn each_doubled(&self, mut take: impl FnMut(usize, &[TwoFloat])) {
        let doubled = self.doubled();
        let mut plain = vec![0.0; self.columns()];
        let mut row = vec![TwoFloat::from(0.0); self.columns()];
        for run in 0..self.len() {
            if doubled {
                self.coding
                    .row_doubled(self.design, self.data, run, &mut row);
            } else {
                self.row(run, &mut plain);
                for (value, &entry) in row.iter_mut().zip(&plain) {
                    *value = TwoFloat::from(entry);
                }
            }
            take(run, &row);
        }
    }
}
