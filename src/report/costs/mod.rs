//! Question 9: what a gram of product cost, against buying it.
//!
//! In: costs. Out: sentences, a section, tables.
//! This module never adds up a cost.

pub mod crops;
pub mod impurities;
pub mod section;
pub mod short;
pub mod table;
pub mod words;
