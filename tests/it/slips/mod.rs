//! Does an entry that is wrong get a doubt, and an entry that is right none?
//!
//! In: campaigns of known preparations (`preparations.rs`, `plans.rs`, `logs.rs`). Out: tests of what is said of their entries.
//! This module never looks at how an entry is judged: what is asked comes from the bench alone.

mod answered;
mod clean;
mod files;
mod found;
mod judged;
mod logs;
mod plans;
mod preparations;
mod table;
mod titres;
mod toml;
mod typed;
