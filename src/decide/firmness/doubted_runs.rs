//! Runs that a verdict must not hang on.
//!
//! In: diagnostics and doubts. Out: names of runs, each to be left out in turn.
//! This module never leaves a run out, and never calls one wrong.

use crate::caveat::{About, Caveat, Doubt, Weight};
use crate::regression::{Diagnostic, Reading, called_out};

/// Most runs that are left out one by one.
const MOST_LEFT_OUT: usize = 8;

/// Runs with an unlikely entry, beyond the joint limit of residuals, or nominated by leverage or distance; the first kind first.
pub fn doubted_runs(diagnostics: &[Vec<Diagnostic>], doubts: &[Caveat]) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    let mut add = |run: &String| {
        if found.len() < MOST_LEFT_OUT && !found.contains(run) {
            found.push(run.clone());
        }
    };
    for diagnostics in diagnostics {
        called_out(diagnostics)
            .into_iter()
            .flatten()
            .for_each(&mut add);
    }
    for caveat in doubts {
        if let (About::Run(run), true) = (&caveat.about, is_unlikely(&caveat.doubt)) {
            add(run);
        }
    }
    for diagnostic in diagnostics.iter().flatten() {
        match &diagnostic.reading {
            Reading::SettingsFarOff(runs) => runs.iter().for_each(&mut add),
            Reading::RunDecidesFit(run) => add(run),
            _ => {}
        }
    }
    found
}

/// Whether a doubt says that an entry of a run is unlikely.
fn is_unlikely(doubt: &Doubt) -> bool {
    if let Doubt::Entry(slip) = doubt {
        return slip.weight == Weight::Unlikely && !slip.accepted;
    }
    matches!(
        doubt,
        Doubt::PurityAboveOne { .. }
            | Doubt::AboveTheCeiling { .. }
            | Doubt::BalanceLeavesNoResidue { .. }
            | Doubt::ClosureAboveOne { .. }
            | Doubt::ClosureBelowOthers { .. }
            | Doubt::DiscordantTitres { .. }
    )
}
