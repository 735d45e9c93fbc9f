//! What every section is written with: pages, tables, figures and words.
//!
//! In: tables of raw names and full figures, pieces of sentences. Out: their text in one medium, names made harmless there.
//! This module never computes a figure and never decides what is told.

pub(super) mod aim_names;
mod brief;
mod cell_text;
mod columns_and_cells;
pub(super) mod cost_names;
pub(super) mod csv;
pub(super) mod escape;
pub(super) mod json;
mod markdown;
pub(super) mod numbers;
mod page;
pub(super) mod parquet;
pub(super) mod response_unit;
mod terminal;
#[cfg(test)]
mod tests;
pub(super) mod untold_terms;
pub(super) mod words;

pub(super) use brief::{Brief, words_in};
pub(super) use columns_and_cells::{Cell, Columns, Digits, Place, Table, Value, with_unit};
pub(super) use escape::{Naming, markdown, one_line};
pub(super) use numbers::{decimals_for, fixed, percent, plain, plus_minus, probability, whole};
pub(super) use page::{Page, Picture, anchor};
pub(super) use response_unit::Shown;
pub(super) use terminal::Screen;
pub use terminal::{Width, wrapped};
pub(super) use words::{and_list, around, capital, count, joined, or_list, when};
