//! Table `[ignition]`: what a crop leaves when it is ignited.
//!
//! In: its section and the chemistry. Out: [`Ignition`].
//! This module never sees a mass.

use super::basics::{Chemistry, Declared, formula};
use super::factors::required;
use super::section::Section;
use super::titration::{SampleBasis, check_holds};
use crate::chemistry::Formula;

/// How masses of an ignition become purity.
#[derive(Debug, Clone)]
pub struct Ignition {
    /// What is left; where the file holds a fault there, the product stands in, so that logs can be looked through.
    pub leaves: Formula,
    /// Basis of the sample.
    pub sample: SampleBasis,
}

impl Ignition {
    /// Whether pure product can be no lighter afterwards: what is left weighs as much for each followed atom.
    pub fn can_gain(&self, chemistry: &Chemistry) -> bool {
        let of =
            |formula: &Formula| formula.grams_per_mole() / formula.atoms_of(&chemistry.followed);
        of(&self.leaves) > of(&chemistry.product)
    }
}

pub(super) fn ignition(section: &Section, chemistry: &Declared) -> Option<Ignition> {
    let leaves = required(section, "leaves", formula);
    let sample = section.one_of("sample", [SampleBasis::AsWeighed, SampleBasis::Dried]);
    if let Declared::Nothing = chemistry {
        let what = "`[ignition]` without `product`, `followed` and `assay_as` in `[campaign]`";
        section.fault(
            what,
            "a mass becomes a purity only when the product is known",
        );
    }
    let Declared::Sound(chemistry) = chemistry else {
        return None;
    };
    if let Some(stated) = &leaves {
        let hint = "name what is left of the product, such as its oxide";
        check_holds(
            section,
            "what is left on ignition,",
            stated,
            chemistry,
            hint,
        );
    }
    let leaves = leaves.map_or_else(|| chemistry.product.clone(), |stated| stated.value);
    Some(Ignition { leaves, sample })
}
