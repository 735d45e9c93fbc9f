//! Question 7: which runs should be made next.
//!
//! In: the plan of further runs. Out: sentences, a section, tables, and the same for a terminal.
//! This module never plans a run.

pub mod assays;
pub mod section;
pub mod short;
pub mod table;
pub mod terminal;
pub mod words;
