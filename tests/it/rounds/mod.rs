//! Does `rounds` keep every report current, say what changed, and leave nothing half-done?
//!
//! - `place.rs`: folders of small campaigns, calls of `rounds`, reports checked against their manifests. No expectations.
//! - `finding.rs`: which folders are campaigns, and what their reports are called.
//! - `changes.rs`: what is analysed again, and what is said to have changed.
//! - `output.rs`: lines, JSON, exit codes, the same bytes on any number of threads.
//! - `faults.rs`: full disks, folders that may not be written, files that change while they are read, two rounds at once.
//! - `killed.rs`: rounds that are killed at any moment.
//! - `share.rs`: lists of what is due, workers, limits of time, collected tables.
//!
//! This module never looks into a figure of a report: other tests do.

mod changes;
mod faults;
mod finding;
mod killed;
mod output;
mod place;
mod share;
