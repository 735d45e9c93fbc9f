//! Which entries of different logs do not fit together?
//!
//! In: all logs. Out: [`Caveat`]s.
//! This module never judges a figure by itself: only entries against one another.

use std::collections::BTreeMap;

use super::RunResult;
use super::columns::{FactorColumn, FactorValues};
use crate::caveat::{About, Caveat};
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
        .map(|(run, crop)| Caveat {
            kind: "titre without crop",
            about: About::Run(run.to_string()),
            seen: format!(
                "crop {crop} of run {run} was titrated, but no crop of that number was weighed"
            ),
            advice: "add its mass to the crops log, or correct the number of the crop".into(),
        })
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
            (!row.residue_from.is_empty() && charged > WEIGHING * there).then(|| Caveat {
                kind: "more residue than there was",
                about: About::Run(row.run.clone()),
                seen: format!(
                    "run {} charged {charged} g of residue of {}, which left {there:.1} g",
                    row.run,
                    row.residue_from.join(", ")
                ),
                advice: "name every run that the residue came from, or correct one of the masses"
                    .into(),
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
                caveats.push(Caveat {
                    kind: "levels that differ in case only",
                    about: About::Campaign,
                    seen: format!(
                        "{} has the levels {twin} and {level}, which count as different",
                        factor.name
                    ),
                    advice: "write one of them everywhere, if they mean the same".into(),
                });
            }
        }
    }
    caveats
}
