//! The coded rows of the runs, and which of their columns are independent.
//!
//! In: a design and the runs. Out: [`Coding`], [`Runs`] and [`Basis`].
//! This module never fits a response.

mod coding;
mod fine_triangle;
mod independent_columns;
mod rows;

pub(crate) use coding::{Coding, Combination, dense};
pub(crate) use independent_columns::{Basis, DEPENDENT, Reduced, scaled_columns};
pub(crate) use rows::Runs;
