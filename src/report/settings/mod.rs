//! Question 6: which settings are best.
//!
//! In: the best settings. Out: sentences, a section, and the same for a terminal.
//! This module never recommends: it says what the model expects where.

pub mod section;
pub mod short;
pub mod terminal;
pub mod words;
