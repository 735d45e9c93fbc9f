//! Question 5: whether it pays to feed the residue forward.
//!
//! In: the answer about residue. Out: sentences, a section, tables, and the same for a terminal.
//! This module never computes a gain.

pub mod further;
pub mod section;
pub mod short;
pub mod table;
pub mod terminal;
pub mod words;
