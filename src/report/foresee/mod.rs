//! What is foreseen, in words and as data.
//!
//! In: what was foreseen, from which runs. Out: text for a terminal, data, a fault where nothing can be foreseen.
//! This module never works out a mass.

pub mod data;
mod of_crops;
mod of_routes;
mod of_washes;
pub mod refused;
pub mod terminal;

use super::print::Table;

/// One thing that is foreseen, as it is told.
struct Told {
    /// What it is of.
    heading: String,
    /// What is foreseen, sentence by sentence.
    lines: Vec<String>,
    /// Figures, where there are several.
    tables: Vec<Table>,
    /// What was measured here, and what comes from elsewhere.
    rests_on: Vec<String>,
    /// How it could be wrong.
    doubts: Vec<String>,
    /// What would test it.
    tests: Vec<String>,
}
