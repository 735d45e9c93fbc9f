//! Question 8: whether the process is drifting.
//!
//! In: control charts. Out: sentences, a section, tables, and the same for a terminal.
//! This module never decides what is flagged.

pub mod further;
pub mod section;
pub mod short;
pub mod table;
pub mod terminal;
pub mod words;
