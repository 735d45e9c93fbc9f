//! Question 4: which recovery route is best.
//!
//! In: the routes compared. Out: sentences, a section, tables, and the same for a terminal.
//! This module never compares two routes itself.

pub mod further;
pub mod section;
pub mod short;
mod table;
pub mod terminal;
pub mod words;
