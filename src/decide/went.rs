//! Where did the rest go?
//!
//! In: the balance of each run. Out: [`Went`], the middle of each part.
//! This module never fills in a part that was not measured.

use super::middle;
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

pub(super) fn went(runs: &Runs) -> Option<Went> {
    let closed: Vec<&RunResult> = runs
        .results
        .iter()
        .filter(|run| run.set_aside.is_none() && run.balance.closure.is_ok())
        .collect();
    if closed.is_empty() {
        return None;
    }
    let part = |of: fn(&RunResult) -> &Outcome| {
        let values: Vec<f64> = closed
            .iter()
            .filter_map(|run| of(run).as_ref().ok().map(|m| m.value()))
            .collect();
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
