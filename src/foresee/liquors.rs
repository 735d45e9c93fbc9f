//! The liquors of a log, each with the product that it holds.
//!
//! In: rows of the runs log and results; the last filtrations of the crops log. Out: [`Liquor`]s.
//! This module never takes a liquor whose entries are withheld.

use super::Figure;
use crate::caveat::Part;
use crate::decide::{Liquors, NoLiquor};
use crate::intake::Logged;
use crate::runs::Runs;

/// The liquor of one run.
#[derive(Debug, Clone, PartialEq)]
pub struct Liquor {
    /// The run.
    pub run: String,
    /// Its volume \[mL\].
    pub volume: f64,
    /// Product in it \[g\].
    pub holds: Figure,
    /// The temperature of the filtration, where it is only taken for saturated there \[degC\]; `None` where its strength was
    /// measured.
    pub saturated_at: Option<f64>,
}

/// Runs whose liquor holds far less than plain water would keep, such as one with alcohol: no table tells what it keeps.
pub fn other_solvents(liquors: Option<&Liquors>) -> Vec<String> {
    let refused = liquors.iter().flat_map(|liquors| &liquors.refused);
    let refused = refused.filter(|of| matches!(of.reason, NoLiquor::LowersSolubility { .. }));
    refused.map(|of| of.run.clone()).collect()
}

/// Liquors whose volume and strength were measured.
pub fn logged_liquors(logged: &Logged, runs: &Runs) -> Vec<Liquor> {
    let found = logged.runs.rows.iter().filter_map(|row| {
        row.may_use(&[Part::Liquor]).ok()?;
        let volume = row.liquor_volume?.value;
        let run = runs.counted().find(|run| run.run == row.run)?;
        let share = run.balance.liquor.as_ref().ok()?;
        // What the charge could give cancels, with its uncertainty.
        let holds = share * run.theory_total.as_ref().ok()?;
        Some(Liquor {
            run: row.run.clone(),
            volume,
            holds: Figure::of(holds.value(), holds.uncertainty()),
            saturated_at: None,
        })
    });
    found.filter(|liquor| liquor.volume > 0.0).collect()
}

/// Liquors of which only the volume and the temperature of the last filtration were logged.
pub fn saturated_liquors(liquors: Option<&Liquors>) -> Vec<Liquor> {
    let runs = liquors.iter().flat_map(|liquors| &liquors.runs);
    let found = runs.map(|liquor| Liquor {
        run: liquor.run.clone(),
        volume: liquor.volume,
        holds: Figure::of(liquor.dissolved, liquor.uncertainty),
        saturated_at: Some(liquor.temperature),
    });
    found.collect()
}
