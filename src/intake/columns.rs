//! Columns that each log may have, with what they measure and the unit they have without a word.
//!
//! In: nothing. Out: [`known`].
//! This module never reads a heading.

use crate::campaign::LogKind;
use crate::units::Dimension::{
    self, Concentration, Fraction, Mass, MassConcentration, Plain, Temperature, Time, Volume,
};
use Holds::{Date, Moment, Number, PriceOfMass, Text};

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Holds {
    /// Any text.
    Text,
    /// A number of that dimension.
    Number(Dimension),
    /// A day, and perhaps a time of day.
    Date,
    /// A time of day or a span; `s` without a unit.
    Moment,
    /// What a mass costs; a kilogram without a unit.
    PriceOfMass,
}

impl Holds {
    /// What its numbers measure.
    pub fn dimension(self) -> Option<Dimension> {
        match self {
            Holds::Text | Holds::Date | Holds::PriceOfMass => None,
            Holds::Number(dimension) => Some(dimension),
            Holds::Moment => Some(Dimension::Time),
        }
    }

    /// Whether it holds neither numbers nor prices.
    pub fn is_text(self) -> bool {
        matches!(self, Holds::Text | Holds::Date)
    }
}

/// A column of the design, by name.
type Known = (&'static str, Holds);

/// The columns that a log may have; crops of the flat style come on top in the runs log.
pub(super) fn known(kind: LogKind) -> &'static [Known] {
    match kind {
        LogKind::Runs => &[
            ("run", Text),
            ("date", Date),
            ("lot", Text),
            ("lot_share", Text),
            ("feed_mass", Number(Mass)),
            ("feed_assay", Number(Fraction)),
            ("oxidant_mass", Number(Mass)),
            ("residue_mass", Number(Mass)),
            ("residue_from", Text),
            ("residue_assay", Number(Fraction)),
            ("labour", Number(Time)),
            ("liquor_volume", Number(Volume)),
            ("liquor_conc", Number(MassConcentration)),
            ("set_aside", Text),
            ("purity", Number(Fraction)),
            ("revision", Text),
        ],
        LogKind::Lots => &[
            ("lot", Text),
            ("assay", Number(Fraction)),
            ("price", PriceOfMass),
        ],
        LogKind::Crops => &[
            ("run", Text),
            ("crop", Text),
            ("mass", Number(Mass)),
            ("moisture", Number(Fraction)),
            ("liquor_volume", Number(Volume)),
            ("temperature", Number(Temperature)),
        ],
        LogKind::Titres => &[
            ("run", Text),
            ("crop", Text),
            ("sample_mass", Number(Mass)),
            ("aliquot", Number(Fraction)),
            ("flask", Number(Volume)),
            ("dilution", Number(Plain)),
            ("titrant", Text),
            ("titre", Number(Volume)),
            ("blank", Number(Volume)),
            ("back_titrant", Text),
            ("back_titre", Number(Volume)),
        ],
        LogKind::Titrants => &[
            ("titrant", Text),
            ("date", Date),
            ("concentration", Number(Concentration)),
            ("standard", Text),
            ("standard_mass", Number(Mass)),
            ("standard_purity", Number(Fraction)),
            ("standard_ratio", Number(Plain)),
            ("titre", Number(Volume)),
            ("blank", Number(Volume)),
            ("aliquot", Number(Fraction)),
            ("flask", Number(Volume)),
        ],
        LogKind::Residues => &[
            ("run", Text),
            ("mass", Number(Mass)),
            ("assay", Number(Fraction)),
            ("moisture", Number(Fraction)),
        ],
        LogKind::Readings => &[
            ("run", Text),
            ("time", Moment),
            ("temperature", Number(Temperature)),
        ],
    }
}

/// What the column of that name holds, `u_` partners and flat crops (`crop1_mass`, `purity1`, `moisture1`) included.
pub(super) fn holds(kind: LogKind, name: &str) -> Option<Holds> {
    let name = name.strip_prefix("u_").unwrap_or(name);
    if let Some((_, holds)) = known(kind).iter().find(|(known, _)| *known == name) {
        return Some(*holds);
    }
    let (what, _) = flat(name).filter(|_| kind == LogKind::Runs)?;
    Some(Number(match what {
        FlatColumn::Mass => Mass,
        FlatColumn::Purity | FlatColumn::Moisture => Fraction,
    }))
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
    let forms = [
        ("crop", "_mass", FlatColumn::Mass),
        ("purity", "", FlatColumn::Purity),
        ("moisture", "", FlatColumn::Moisture),
    ];
    forms.into_iter().find_map(|(front, back, what)| {
        let digits = name.strip_prefix(front)?.strip_suffix(back)?;
        let is_plain = digits.chars().all(|c| c.is_ascii_digit());
        let crop: u32 = digits.parse().ok().filter(|_| is_plain)?;
        (crop > 0).then_some((what, crop))
    })
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
