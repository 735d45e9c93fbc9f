//! Which titrants were the crops of each run titrated with?
//!
//! In: the titres log and the titrant that the campaign names. Out: [`TitrantsOfRun`].
//! This module never looks at a volume or a concentration.

use std::collections::BTreeMap;

use crate::campaign::Campaign;
use crate::intake::{Logged, TitreOf};

/// The titrants of one run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TitrantsOfRun {
    /// The run.
    pub run: String,
    /// Titrants and back titrants of its crops, each once, in the order of the titres log.
    pub titrants: Vec<String>,
}

/// The titrants of each run that has a titre of a crop, by name of the run.
pub(super) fn titrants_used(campaign: &Campaign, logged: &Logged) -> Vec<TitrantsOfRun> {
    let usual = campaign
        .titration
        .as_ref()
        .and_then(|titration| titration.titrant.as_ref());
    let mut by_run: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for titre in &logged.titres {
        if !matches!(titre.of, TitreOf::Crop(_)) {
            continue;
        }
        let names = by_run.entry(&titre.run).or_default();
        let own = titre.titrant.as_ref().or(usual);
        for name in own.into_iter().chain(&titre.back_titrant) {
            if !names.contains(name) {
                names.push(name.clone());
            }
        }
    }
    by_run
        .into_iter()
        .map(|(run, titrants)| TitrantsOfRun {
            run: run.to_string(),
            titrants,
        })
        .collect()
}
