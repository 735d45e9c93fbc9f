//! residuum: from a campaign's CSV logs to a decision somebody can defend.
//!
//! In: a campaign file and its logs as text and bytes. Out: results, reports and charts as values.
//! This library never prints, exits, writes a file, reads the clock or the environment, or draws an unseeded random number.

pub mod answers;
pub mod campaign;
pub mod caveat;
pub mod charts;
pub mod chemistry;
pub mod crystallisation;
pub mod decide;
pub mod distributions;
pub mod drift;
pub mod error;
pub mod history;
pub mod intake;
pub mod measured;
pub mod pipeline;
pub mod regression;
pub mod report;
pub mod result;
pub mod runs;
pub mod seeded;
pub mod units;
