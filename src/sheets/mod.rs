//! Files as tables of text: what a spreadsheet, an export or a frame holds.
//!
//! In: the bytes of a file. Out: [`Grid`] and the [`Sheet`]s in it, with the lines they stand on and what was passed over.
//! This module never reads a value, and never lets a type of polars or calamine out.

mod columnar;
mod content;
mod damaged;
mod frame;
mod grid;
mod limits;
mod mark;
mod over_rows;
mod records;
mod row;
mod tables;
mod workbook;

pub use columnar::{Values, below_one_another, parquet};
pub use frame::{Cells, Numbers};
pub use grid::{File, Grid, Note, grid, sheets};
pub use limits::{LONGEST_CELL, cells as long_cells};
pub use mark::Mark;
pub use over_rows::is_over_rows;
pub use tables::{Passed, PassedOver, Sheet, pass, tables};
