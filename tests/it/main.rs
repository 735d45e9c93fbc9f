//! Does the program as a whole keep what it promises?
//!
//! One binary with a file for each thing a user can do, and one folder for what is checked against the outside:
//! - `support.rs`: campaign folders, calls of the program, digits that agree. No expectations.
//! - `markdown.rs`: a page as a reader of Markdown sees it. No expectations either.
//! - `in_memory.rs`: campaigns worked out through the library, without a file. No expectations either.
//! - `reference/`: published, certified or independently computed values only. Each expected value is named with
//!   its source beside the check or in `tests/data/SOURCE.md`, and none of them comes from residuum itself.
//!
//! What a single function promises is tested beside that function, in `src/`.
//! This module never holds a test itself.

// Tests stop where something is not as they say, and print the digits that they found.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::unreachable,
    clippy::unwrap_used
)]

mod ages;
mod answers;
mod assays;
mod bad_corpus;
mod bad_input;
mod best_of_many;
mod checking;
mod coverage;
mod crops;
mod demo;
mod drift;
mod foresee;
mod fuzz;
mod in_memory;
mod limits;
mod lot_assays;
mod markdown;
mod models;
mod names;
mod next;
mod notebooks;
mod read_back;
mod recycling;
mod reference;
mod reports;
mod rounds;
mod routes;
mod rows;
mod same_figures;
mod scale;
mod schema;
mod settings;
mod slips;
mod support;
mod terminal;
mod tidy;
mod together;
mod verdicts;
mod ways;
