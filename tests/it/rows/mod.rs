//! Does each row of a runs log count for what it is: a run made, a plan, or a version that another line replaces?
//!
//! - `planned.rs`: rows with settings, without a date and without a result.
//! - `versions.rs`: several lines of one run.
//!
//! This module never writes to a log: `next/append.rs` has the program do so.

mod planned;
mod versions;
