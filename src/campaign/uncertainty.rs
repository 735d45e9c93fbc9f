//! The table `[uncertainty]`: what is known of each reading where the log says nothing.
//!
//! In: its section. Out: [`UncertaintyPlan`].
//! This module never combines uncertainties.

use super::figure::{Stated, uncertainty};
use super::section::{Section, nearest};
use crate::units::Dimension;

/// Names that may stand in `[uncertainty]` and what each measures.
const NAMES: &[(&str, Dimension)] = &[
    ("feed_mass", Dimension::Mass),
    ("residue_mass", Dimension::Mass),
    ("oxidant_mass", Dimension::Mass),
    ("crop_mass", Dimension::Mass),
    ("sample_mass", Dimension::Mass),
    ("standard_mass", Dimension::Mass),
    ("titre", Dimension::Volume),
    ("blank", Dimension::Volume),
    ("back_titre", Dimension::Volume),
    ("burette", Dimension::Volume),
    ("liquor_volume", Dimension::Volume),
    ("liquor_conc", Dimension::MassConcentration),
    ("concentration", Dimension::Concentration),
    ("assay", Dimension::Fraction),
    ("feed_assay", Dimension::Fraction),
    ("residue_assay", Dimension::Fraction),
    ("sampling", Dimension::Fraction),
    ("purity", Dimension::Fraction),
    ("standard_purity", Dimension::Fraction),
    ("moisture", Dimension::Fraction),
    ("aliquot", Dimension::Fraction),
    ("dilution", Dimension::Plain),
    ("temperature", Dimension::Temperature),
    ("labour", Dimension::Time),
];

/// One named source with its stated uncertainty.
#[derive(Debug, Clone)]
pub struct StatedSource {
    /// Name, such as `crop_mass`.
    pub name: String,
    /// What is stated.
    pub stated: Stated,
}

/// Uncertainties for logs without a `u_` column.
#[derive(Debug, Clone, Default)]
pub struct UncertaintyPlan {
    sources: Vec<StatedSource>,
    shared: Vec<String>,
}

impl UncertaintyPlan {
    /// What is stated for a source.
    pub fn of(&self, name: &str) -> Option<Stated> {
        self.sources
            .iter()
            .find(|source| source.name == name)
            .map(|source| source.stated)
    }

    /// Whether a source has one error for the whole campaign.
    pub fn is_shared(&self, name: &str) -> bool {
        self.shared.iter().any(|shared| shared == name)
    }

    /// All that is stated, in the order of the file.
    pub fn sources(&self) -> &[StatedSource] {
        &self.sources
    }
}

pub(super) fn plan(section: Section) -> UncertaintyPlan {
    let mut plan = UncertaintyPlan::default();
    let shared = section.texts("shared").unwrap_or_default();
    for name in section.own_names() {
        if name.value == "shared" {
            continue;
        }
        let Some((_, dimension)) = NAMES.iter().find(|(known, _)| *known == name.value) else {
            let hint = match nearest(&name.value, NAMES.iter().map(|(known, _)| *known)) {
                Some(near) => format!("did you mean `{near}`?"),
                None => {
                    let known: Vec<&str> = NAMES.iter().map(|(known, _)| *known).collect();
                    format!("known here: shared, {}", known.join(", "))
                }
            };
            let path = section.path(&name.value);
            section
                .source
                .fault(name.position, format!("unknown key `{path}`"), hint);
            let _ = section.figure(&name.value);
            continue;
        };
        if let Some(text) = section.figure(&name.value) {
            match uncertainty(&text.value, *dimension) {
                Ok(stated) => plan.sources.push(StatedSource {
                    name: name.value,
                    stated,
                }),
                Err(hint) => {
                    let path = section.path(&name.value);
                    section.source.fault(
                        text.position,
                        format!("`{path}` is `{}`", text.value),
                        hint,
                    );
                }
            }
        }
    }
    for name in shared {
        if plan.of(&name.value).is_none() {
            section.source.fault(
                name.position,
                format!(
                    "`uncertainty.shared` names `{}`, which has no uncertainty there",
                    name.value
                ),
                "state its uncertainty in the same table",
            );
        }
        plan.shared.push(name.value);
    }
    section.finish();
    plan
}
