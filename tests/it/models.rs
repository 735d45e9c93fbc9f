//! Can what a model says be relied on, in the ordinary case and at the edge of what a log can carry?
//!
//! A file for each promise:
//! - `together.rs`: simultaneous intervals hold all true differences together as often as they say.
//! - `many_runs.rs`: many runs on one lot give their mean.
//! - `edges.rs`: too few runs, nothing that varies, nothing that was logged.
//! - `confounded.rs`: what cannot be told apart is named in words, with the runs that would tell.
//! - `agreement.rs`: the tables of a report say what its JSON says, and its sentences say what its tables say.
//! - `keys.rs`: the keys that scripts rely on, each with its shape.
//! - `picture_names.rs`: a picture names the runs that the diagnostics call out.
//!
//! `plain.rs` holds a campaign on logged columns alone.
//! This module never holds a test itself, and none below it takes an expected value from residuum.

mod agreement;
mod confounded;
mod edges;
mod keys;
mod many_runs;
mod picture_names;
mod plain;
mod together;
