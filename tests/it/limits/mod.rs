//! Is anything forbidden ever proposed, and is each entry of `[limits]` that cannot be meant told?
//!
//! - `bans.rs`: random combinations never to be proposed, written as a person writes them, and a judge of settings that shares
//!   nothing with the library.
//! - `planned.rs`: 1,940 of them, each over a small space of runs.
//! - `whole_program.rs`: 60 of them through every answer of the program.
//! - `refused.rs`: entries that cannot be meant.
//!
//! This module never holds a test itself.

mod bans;
mod planned;
mod refused;
mod whole_program;
