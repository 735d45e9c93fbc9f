//! The table `[titration]`: how titres become purity.
//!
//! In: its section and the chemistry. Out: [`Titration`].
//! This module never sees a titre.

use super::basics::{Declared, formula};
use super::factors::required;
use super::section::{ABOVE_ZERO, Section};
use crate::chemistry::Formula;

/// What the titrated sample was.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SampleBasis {
    /// The crop as it was weighed; the moisture is in the purity already.
    AsWeighed,
    /// Freed of moisture first.
    Dried,
}

/// What is titrated in feed and residue.
#[derive(Debug, Clone)]
pub struct AssayTitration {
    /// What is titrated.
    pub analyte: Formula,
    /// Moles of analyte per mole of titrant.
    pub ratio: f64,
}

/// How titres become purity.
#[derive(Debug, Clone)]
pub struct Titration {
    /// What is titrated.
    pub analyte: Formula,
    /// Moles of analyte per mole of titrant.
    pub ratio: f64,
    /// How titres of feed and residue are reckoned, where another substance is titrated there.
    pub of_assays: Option<AssayTitration>,
    /// Moles of titrant that one mole of back titrant uses up.
    pub back_ratio: f64,
    /// Default titrant, for titres that name none.
    pub titrant: Option<String>,
    /// Relative standard deviation of one titration without replicates.
    pub repeatability: Option<f64>,
    /// Basis of the sample.
    pub sample: SampleBasis,
}

pub(super) fn titration(section: Section, chemistry: &Declared) -> Option<Titration> {
    if !section.is_there() {
        section.finish();
        return None;
    }
    let analyte = required(&section, "analyte", formula);
    let ratio = required(&section, "ratio", |s, key| {
        s.number_within(key, ABOVE_ZERO, 1e3)
    });
    let of_assays = of_assays(&section, chemistry);
    let titrant = section.text("titrant").map(|text| text.value);
    let back_ratio = section
        .number_within("back_ratio", ABOVE_ZERO, 1e3)
        .unwrap_or(1.0);
    let repeatability = section.number_within("repeatability", 0.0, 1.0);
    let sample = match section.text("sample") {
        None => SampleBasis::AsWeighed,
        Some(text) if text.value == "as weighed" => SampleBasis::AsWeighed,
        Some(text) if text.value == "dried" => SampleBasis::Dried,
        Some(text) => {
            section.source.fault(
                text.position,
                format!("`titration.sample` is `{}`", text.value),
                "write `as weighed` or `dried`",
            );
            SampleBasis::AsWeighed
        }
    };
    match (&analyte, chemistry) {
        (_, Declared::Nothing) => section.source.fault(
            section.position(),
            "`[titration]` without `product`, `followed` and `assay_as` in `[campaign]`".into(),
            "a titre becomes a purity only when the product is known",
        ),
        (Some(analyte), Declared::Sound(chemistry))
            if analyte.value.atoms_of(&chemistry.followed) == 0.0
                && analyte.value != chemistry.product =>
        {
            section.source.fault(
                analyte.position,
                format!(
                    "the analyte `{}` holds no {}",
                    analyte.value.text(),
                    chemistry.followed
                ),
                "name the product, or what holds its followed element",
            );
        }
        _ => {}
    }
    section.finish();
    Some(Titration {
        analyte: analyte?.value,
        ratio: ratio?,
        of_assays,
        back_ratio,
        titrant,
        repeatability,
        sample,
    })
}

/// The keys `assay_analyte` and `assay_ratio`, which go together.
fn of_assays(section: &Section, chemistry: &Declared) -> Option<AssayTitration> {
    let given = |key: &str| {
        section
            .own_names()
            .into_iter()
            .find(|name| name.value == key)
    };
    let found = (given("assay_analyte"), given("assay_ratio"));
    let analyte = formula(section, "assay_analyte");
    let ratio = section.number_within("assay_ratio", ABOVE_ZERO, 1e3);
    if let (Some(one), None) | (None, Some(one)) = found {
        section.source.fault(
            one.position,
            "`titration.assay_analyte` and `titration.assay_ratio` go together".into(),
            "name what is titrated in feed and residue, and its moles per mole of titrant",
        );
    }
    let analyte = analyte?;
    if let Declared::Sound(chemistry) = chemistry
        && analyte.value.atoms_of(&chemistry.followed) == 0.0
    {
        section.source.fault(
            analyte.position,
            format!(
                "the analyte `{}` holds no {}",
                analyte.value.text(),
                chemistry.followed
            ),
            "name what holds the followed element in feed and residue",
        );
    }
    Some(AssayTitration {
        analyte: analyte.value,
        ratio: ratio?,
    })
}
