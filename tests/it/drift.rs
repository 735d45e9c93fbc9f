//! Does `residuum drift` flag what drifts, and only chart what it should?
//!
//! In: invented campaigns whose truth is known, and the demo campaigns. Out: tests of the charts, of the causes that they
//! name, of how often they flag by luck, and of the call; `stepped.rs` makes the campaigns that move.
//! This module never checks a limit or a run length: `reference/` does.

mod call;
mod causes;
mod charted;
mod in_report;
mod shared_errors;
mod stepped;
mod steps;
