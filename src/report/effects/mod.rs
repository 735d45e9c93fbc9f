//! Question 3: what moves a response.
//!
//! In: models and what they say of the factors. Out: sentences, sections, tables, and the same for a terminal.
//! This module never fits and never judges.

pub mod further;
pub mod section;
pub mod short;
pub mod table;
pub mod terminal;
pub mod words;
