//! Are names data, and never more than that?
//!
//! - `campaign.rs`: one invented campaign whose names are given from outside. No expectations.
//! - `compare.rs`: its answers under two sets of names, one translated into the other.
//! - `factors.rs`, `levels.rs`, `responses.rs`, `lots_and_runs.rs`: names that could be taken for something else.
//! - `drawn.rs`: names put together at random from such pieces.
//! - `rounds.rs`: whether a round sees that an effect has turned, whatever its factor is called.
//!
//! No expected answer is known here: plain names say what is right.
//! This module never judges how a name is shown: `bad_input/hostile_names.rs` does.

pub mod campaign;
mod compare;
mod drawn;
mod factors;
mod levels;
mod lots_and_runs;
mod responses;
mod rounds;
