//! What each run left as residue, and what others charged of it.
//!
//! In: the runs log and the residues log. Out: one [`LedgerLine`] for each residue.
//! This module never doubts a mass.

use std::collections::BTreeMap;

use super::logged::{Logged, RunRow};

/// The residue of one run.
#[derive(Debug, Clone, PartialEq)]
pub struct LedgerLine {
    /// The run that left it.
    pub run: String,
    /// What it left \[g\].
    pub left: f64,
    /// What other runs charged of it \[g\].
    pub taken: f64,
    /// The last run in the log that charged of it; empty where none did.
    pub last: String,
}

impl LedgerLine {
    /// What should be left of it \[g\].
    pub fn now(&self) -> f64 {
        (self.left - self.taken).max(0.0)
    }
}

/// Runs that charged residue, with its mass \[g\].
pub fn charged(logged: &Logged) -> impl Iterator<Item = (&RunRow, f64)> {
    let rows = logged.runs.rows.iter();
    rows.filter_map(|row| Some((row, row.residue_mass?.value)))
        .filter(|(_, charged)| *charged > 0.0)
}

/// What each run left and what was taken of it, in the order of the residues log.
///
/// A charge `M` of several runs takes `M·sⱼ` of each: by the shares `s` that are logged, else `sⱼ = mⱼ / Σ m` by the masses `m`
/// that they left.
pub fn ledger(logged: &Logged) -> Vec<LedgerLine> {
    let rows = logged.residues.iter();
    let left: BTreeMap<&str, f64> = rows.map(|row| (&*row.run, row.mass.value)).collect();
    let mut taken: BTreeMap<&str, (f64, &str)> = BTreeMap::new();
    for (row, charged) in charged(logged) {
        let sources = row.residue_from.iter();
        let there: Option<f64> = sources.map(|from| left.get(from.as_str()).copied()).sum();
        let Some(there) = there.filter(|there| *there > 0.0) else {
            continue;
        };
        for (position, from) in row.residue_from.iter().enumerate() {
            let share = row.residue_shares.get(position).copied();
            let entry = taken.entry(from).or_insert((0.0, &row.run));
            entry.0 += charged * share.unwrap_or_else(|| left[from.as_str()] / there);
            entry.1 = &row.run;
        }
    }
    let rows = logged.residues.iter();
    let lines = rows.map(|row| {
        let (taken, last) = taken.get(row.run.as_str()).copied().unwrap_or((0.0, ""));
        LedgerLine {
            run: row.run.to_string(),
            left: row.mass.value,
            taken,
            last: last.to_string(),
        }
    });
    lines.collect()
}
