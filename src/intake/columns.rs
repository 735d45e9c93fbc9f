//! The columns that each log may have, with what they measure and the unit they have without a word.
//!
//! In: nothing. Out: [`known`].
//! This module never reads a heading.

use crate::campaign::LogKind;
use crate::units::Dimension;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Holds {
    /// Any text.
    Text,
    /// A number of that dimension.
    Number(Dimension),
    /// A time of day or a span; `s` without a unit.
    Moment,
}

/// A column of the design.
#[derive(Debug, Clone, Copy)]
pub(super) struct KnownColumn {
    pub name: &'static str,
    pub holds: Holds,
}

const fn text(name: &'static str) -> KnownColumn {
    KnownColumn {
        name,
        holds: Holds::Text,
    }
}

const fn number(name: &'static str, dimension: Dimension) -> KnownColumn {
    KnownColumn {
        name,
        holds: Holds::Number(dimension),
    }
}

const RUNS: &[KnownColumn] = &[
    text("run"),
    text("date"),
    text("lot"),
    text("lot_share"),
    number("feed_mass", Dimension::Mass),
    number("feed_assay", Dimension::Fraction),
    number("oxidant_mass", Dimension::Mass),
    number("residue_mass", Dimension::Mass),
    text("residue_from"),
    number("residue_assay", Dimension::Fraction),
    number("labour", Dimension::Time),
    number("liquor_volume", Dimension::Volume),
    number("liquor_conc", Dimension::MassConcentration),
    text("set_aside"),
    number("purity", Dimension::Fraction),
];

const LOTS: &[KnownColumn] = &[
    text("lot"),
    number("assay", Dimension::Fraction),
    text("price"),
];

const CROPS: &[KnownColumn] = &[
    text("run"),
    text("crop"),
    number("mass", Dimension::Mass),
    number("moisture", Dimension::Fraction),
    number("liquor_volume", Dimension::Volume),
    number("temperature", Dimension::Temperature),
];

const TITRES: &[KnownColumn] = &[
    text("run"),
    text("crop"),
    number("sample_mass", Dimension::Mass),
    number("aliquot", Dimension::Fraction),
    number("dilution", Dimension::Plain),
    text("titrant"),
    number("titre", Dimension::Volume),
    number("blank", Dimension::Volume),
    text("back_titrant"),
    number("back_titre", Dimension::Volume),
];

const TITRANTS: &[KnownColumn] = &[
    text("titrant"),
    text("date"),
    number("concentration", Dimension::Concentration),
    text("standard"),
    number("standard_mass", Dimension::Mass),
    number("standard_purity", Dimension::Fraction),
    number("standard_ratio", Dimension::Plain),
    number("titre", Dimension::Volume),
    number("blank", Dimension::Volume),
    number("aliquot", Dimension::Fraction),
];

const RESIDUES: &[KnownColumn] = &[
    text("run"),
    number("mass", Dimension::Mass),
    number("assay", Dimension::Fraction),
    number("moisture", Dimension::Fraction),
];

const READINGS: &[KnownColumn] = &[
    text("run"),
    KnownColumn {
        name: "time",
        holds: Holds::Moment,
    },
    number("temperature", Dimension::Temperature),
];

/// The columns that a log may have; crops of the flat style come on top in the runs log.
pub(super) fn known(kind: LogKind) -> &'static [KnownColumn] {
    match kind {
        LogKind::Runs => RUNS,
        LogKind::Lots => LOTS,
        LogKind::Crops => CROPS,
        LogKind::Titres => TITRES,
        LogKind::Titrants => TITRANTS,
        LogKind::Residues => RESIDUES,
        LogKind::Readings => READINGS,
    }
}

/// What the column of that name holds, flat crops (`crop1_mass`, `purity1`, `moisture1`) included.
pub(super) fn holds(kind: LogKind, name: &str) -> Option<Holds> {
    if let Some(column) = known(kind).iter().find(|column| column.name == name) {
        return Some(column.holds);
    }
    if kind != LogKind::Runs {
        return None;
    }
    flat(name).map(|(what, _)| match what {
        FlatColumn::Mass => Holds::Number(Dimension::Mass),
        FlatColumn::Purity | FlatColumn::Moisture => Holds::Number(Dimension::Fraction),
    })
}

/// A column of the flat style.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FlatColumn {
    /// `crop1_mass`
    Mass,
    /// `purity1`
    Purity,
    /// `moisture1`
    Moisture,
}

/// The flat column and the number of its crop.
pub(super) fn flat(name: &str) -> Option<(FlatColumn, u32)> {
    let numbered = |digits: &str| {
        (!digits.is_empty() && digits.chars().all(|c| c.is_ascii_digit()))
            .then(|| digits.parse().ok())
            .flatten()
            .filter(|number| *number > 0)
    };
    if let Some(digits) = name
        .strip_prefix("crop")
        .and_then(|n| n.strip_suffix("_mass"))
    {
        return numbered(digits).map(|n| (FlatColumn::Mass, n));
    }
    if let Some(digits) = name.strip_prefix("purity") {
        return numbered(digits).map(|n| (FlatColumn::Purity, n));
    }
    if let Some(digits) = name.strip_prefix("moisture") {
        return numbered(digits).map(|n| (FlatColumn::Moisture, n));
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn flat_columns_carry_the_number_of_their_crop() {
        assert_eq!(flat("crop2_mass"), Some((FlatColumn::Mass, 2)));
        assert_eq!(flat("purity1"), Some((FlatColumn::Purity, 1)));
        for name in ["purity", "crop_mass", "cropx_mass", "purity0"] {
            assert_eq!(flat(name), None, "{name}");
        }
    }
}
