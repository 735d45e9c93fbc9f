//! Table `[uncertainty]`: what is known of each reading where the log says nothing.
//!
//! In: its section. Out: [`UncertaintyPlan`].
//! This module never combines uncertainties.

use std::collections::{BTreeMap, BTreeSet};

use super::figure::{Stated, uncertainty};
use super::keys::{KEYS, KeyHolds};
use super::section::Section;
use crate::units::Dimension;

/// Uncertainties for logs without a `u_` column.
#[derive(Debug, Clone, Default)]
pub struct UncertaintyPlan {
    sources: BTreeMap<String, Stated>,
    shared: BTreeSet<String>,
}

impl UncertaintyPlan {
    /// What is stated for a source, such as `crop_mass`.
    pub fn of(&self, name: &str) -> Option<Stated> {
        self.sources.get(name).copied()
    }

    /// Whether a source has one error for the whole campaign.
    pub fn is_shared(&self, name: &str) -> bool {
        self.shared.contains(name)
    }
}

pub(super) fn plan(section: &Section) -> UncertaintyPlan {
    let mut plan = UncertaintyPlan::default();
    let shared = section.texts("shared").unwrap_or_default();
    for name in section.own_names() {
        if name.value == "shared" {
            continue;
        }
        let known = KEYS.iter().filter(|key| key.table == "uncertainty");
        let known = known.filter_map(|key| match key.holds {
            KeyHolds::Quantity(dimension) => Some((key.name, dimension)),
            _ => None,
        });
        let Some((_, dimension)) = known.clone().find(|(known, _)| *known == name.value) else {
            let names: Vec<&str> = known.map(|(known, _)| known).collect();
            let what = format!("unknown key `{}`", section.path(&name.value));
            let otherwise = format!("known here: shared, {}", names.join(", "));
            section.unknown(&name, what, names.into_iter(), otherwise);
            let _ = section.figure(&name.value);
            continue;
        };
        let Some(text) = section.figure(&name.value) else {
            continue;
        };
        match uncertainty(&text.value, dimension) {
            Ok(of) if dimension == Dimension::Fraction && of.standard_uncertainty() > 1.0 => {
                let hint =
                    "the uncertainty of a fraction is at most 1; percent are written `0.5 %`";
                section.refuse(&name.value, &text, hint);
            }
            Ok(stated) => drop(plan.sources.insert(name.value, stated)),
            Err(hint) => section.refuse(&name.value, &text, hint),
        }
    }
    for name in shared {
        if plan.of(&name.value).is_none() {
            let shared = &name.value;
            let what =
                format!("`uncertainty.shared` names `{shared}`, which has no uncertainty there");
            let hint = "state its uncertainty in the same table";
            section.source.fault(name.position, what, hint);
        }
        plan.shared.insert(name.value);
    }
    plan
}
