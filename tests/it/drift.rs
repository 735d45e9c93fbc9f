//! Does `residuum drift` flag what drifts, and only chart what it should?
//!
//! In: invented campaigns whose truth is known, and the demo campaigns. Out: tests of the charts, of the causes that they
//! name, and of the call; `stepped.rs` makes the campaigns.
//! This module never checks a limit or a run length: `reference/` does.

mod call;
mod causes;
mod charted;
mod in_report;
mod stepped;
mod steps;
