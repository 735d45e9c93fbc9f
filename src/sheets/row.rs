//! A row of a grid: where it stands and how far it is filled.
//!
//! In: nothing. Out: [`Row`].
//! This module never holds a cell.

/// A row that holds anything.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    /// Its line in the file, or its row in the sheet, counted from 1.
    pub line: u32,
    /// How many cells it was written with.
    pub cells: u32,
    /// Cells up to the last that holds anything.
    pub filled: u32,
    /// Whether a blank row stands before it.
    pub after_blank: bool,
}
