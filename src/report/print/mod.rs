//! One table, four printers: a page, a terminal, CSV and JSON.
//!
//! In: a [`Table`] of raw names and full figures. Out: its text in one medium, names made harmless there.
//! This module never computes a figure and never decides what is told.

pub(super) mod csv;
pub(super) mod json;
mod markdown;
pub(super) mod page;
mod said;
pub(super) mod table;
pub(super) mod terminal;
#[cfg(test)]
mod tests;

pub use terminal::{Width, wrapped};
