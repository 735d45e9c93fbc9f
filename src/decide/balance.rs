//! Where the rest of the charge went, in the middle of all runs.
//!
//! In: the balance of each run. Out: [`Went`], the middle of each part.
//! This module never fills in a part that was not measured.

use crate::distributions::middle;
use crate::measured::Measured;
use crate::runs::{Outcome, RunResult, Runs};

/// The parts of what was charged, in the middle of all runs.
#[derive(Debug, Clone)]
pub struct Went {
    /// Runs with a balance.
    pub runs: usize,
    /// In the crops.
    pub crops: Part,
    /// In the mother liquor.
    pub liquor: Part,
    /// In the residue.
    pub residue: Part,
    /// Nowhere that anyone measured.
    pub unaccounted: Part,
}

/// One part of the charge.
#[derive(Debug, Clone, Copy)]
pub struct Part {
    /// Runs in which it was measured.
    pub runs: usize,
    /// Middle of these runs [fraction of the charge].
    pub middle: Option<f64>,
}

/// The balance in the middle of all runs that have one; `None` without any.
///
/// # Units and shapes
/// Each part is a fraction of the charge; a middle is that of the runs in which the part was measured, so that middles need
/// not add up to 1.
pub(super) fn went(runs: &Runs) -> Option<Went> {
    let counted = runs.counted();
    let closed: Vec<&RunResult> = counted.filter(|run| run.balance.closure.is_ok()).collect();
    if closed.is_empty() {
        return None;
    }
    let part = |of: fn(&RunResult) -> &Outcome| {
        let known = closed.iter().filter_map(|run| of(run).as_ref().ok());
        let values: Vec<f64> = known.map(Measured::value).collect();
        Part {
            runs: values.len(),
            middle: middle(values),
        }
    };
    Some(Went {
        runs: closed.len(),
        crops: part(|run| &run.balance.crops),
        liquor: part(|run| &run.balance.liquor),
        residue: part(|run| &run.balance.residue),
        unaccounted: part(|run| &run.balance.unaccounted),
    })
}
