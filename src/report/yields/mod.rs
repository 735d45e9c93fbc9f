//! Questions 1 and 2: what each run gave, and where the rest went.
//!
//! In: runs and what was found of them. Out: sentences, sections, tables, and the same for a terminal.
//! This module never computes a yield.

pub mod further;
mod measurement;
pub mod passed_over;
pub mod second;
pub mod section;
pub mod short;
pub mod table;
pub mod terminal;
pub mod words;
