//! Which entries of different logs do not fit together?
//!
//! In: all logs. Out: [`Caveat`]s.
//! This module never judges a figure by itself: only entries against one another.

use std::collections::BTreeMap;

use super::RunResult;
use super::column::{FactorColumn, FactorValues};
use crate::caveat::{Caveat, Doubt};
use crate::intake::{Logged, TitreOf};

/// Residue weighed out may exceed what was weighed in by so much before it is doubted: dust, moisture, rounding.
const WEIGHING: f64 = 1.02;

/// Doubts about titres of crops that nobody weighed and about residue that was not there.
pub(super) fn of_logs(logged: &Logged, results: &[RunResult]) -> Vec<Caveat> {
    let mut caveats = titres_without_crops(logged, results);
    caveats.extend(residue_that_was_not_there(logged));
    caveats
}

fn titres_without_crops(logged: &Logged, results: &[RunResult]) -> Vec<Caveat> {
    let by_run: BTreeMap<&str, &RunResult> =
        results.iter().map(|run| (run.run.as_str(), run)).collect();
    let mut doubted: Vec<(&str, u32)> = Vec::new();
    for titre in &logged.titres {
        let TitreOf::Crop(crop) = titre.of else {
            continue;
        };
        let Some(run) = by_run.get(titre.run.as_str()) else {
            continue;
        };
        let weighed = run.crops.iter().any(|known| known.crop == crop);
        if !weighed && !doubted.contains(&(titre.run.as_str(), crop)) {
            doubted.push((&titre.run, crop));
        }
    }
    doubted
        .into_iter()
        .map(|(run, crop)| Caveat::of_run(run, Doubt::TitreWithoutCrop { crop }))
        .collect()
}

fn residue_that_was_not_there(logged: &Logged) -> Vec<Caveat> {
    let left: BTreeMap<&str, f64> = logged
        .residues
        .iter()
        .map(|residue| (residue.run.as_str(), residue.mass.value))
        .collect();
    logged
        .runs
        .rows
        .iter()
        .filter_map(|row| {
            let charged = row.residue_mass?.value;
            let donors: Option<Vec<f64>> = row
                .residue_from
                .iter()
                .map(|from| left.get(from.as_str()).copied())
                .collect();
            let there: f64 = donors?.iter().sum();
            (!row.residue_from.is_empty() && charged > WEIGHING * there).then(|| {
                let doubt = Doubt::MoreResidueThanThereWas {
                    charged,
                    from: row.residue_from.clone(),
                    there,
                };
                Caveat::of_run(&row.run, doubt)
            })
        })
        .collect()
}

/// Doubts about levels that differ in upper and lower case only.
pub(super) fn of_levels(factors: &[FactorColumn]) -> Vec<Caveat> {
    let mut caveats = Vec::new();
    for factor in factors {
        let FactorValues::Choice { levels, .. } = &factor.values else {
            continue;
        };
        for (position, level) in levels.iter().enumerate() {
            let twin = levels[..position]
                .iter()
                .find(|other| other.to_lowercase() == level.to_lowercase());
            if let Some(twin) = twin {
                caveats.push(Caveat::of_campaign(Doubt::LevelsDifferInCase {
                    factor: factor.name.clone(),
                    first: twin.clone(),
                    second: level.clone(),
                }));
            }
        }
    }
    caveats
}
