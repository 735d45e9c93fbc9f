//! What shakes an answer, as it is printed.
//!
//! In: claims with what became of them. Out: clauses, and the table of answers held against other fits.
//! This module never prints a second interval.

mod section;
pub(super) mod terminal;
mod words;

pub(super) use section::{held, write};
pub(super) use words::{lifted, otherwise_in_short, shaken};
