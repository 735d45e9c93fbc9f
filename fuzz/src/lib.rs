//! What must hold whatever bytes are read: one check for each target.
//!
//! In: bytes that nobody chose. Out: nothing, or a panic that says what does not hold.
//! This module never asks that something reads: it asks that what reads is sound, and that what does not is told with its place.

mod campaign;
mod cells;
mod table;
mod told;

/// A check of the bytes of one input.
pub type Check = fn(&[u8]);

/// Each target by its name, which is also that of its folder of seeds.
pub const TARGETS: [(&str, Check); 6] = [
    ("campaign", campaign::check),
    ("dates", cells::dates),
    ("formula", cells::formula),
    ("numbers", cells::numbers),
    ("table", table::check),
    ("units", cells::units),
];

/// Checks an input of the target of that name.
pub fn check(target: &str, bytes: &[u8]) {
    let found = TARGETS.iter().find(|(name, _)| *name == target);
    found.expect("a target of that name").1(bytes);
}
