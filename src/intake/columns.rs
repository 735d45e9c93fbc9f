//! Columns that each log may have, with what they measure and the unit they have without a word.
//!
//! In: nothing. Out: [`COLUMNS`], each a [`DesignColumn`], which readers go by and a schema can be printed from.
//! This module never reads a heading.

use crate::campaign::LogKind;
use crate::units::Dimension::{
    self, Concentration, Fraction, Mass, MassConcentration, Plain, Temperature, Time, Volume,
};
use Holds::{Date, Moment, Number, PriceOfMass, Text};

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
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

/// A column of the design.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DesignColumn {
    /// The log that may have it.
    pub log: LogKind,
    /// Its name.
    pub name: &'static str,
    /// What it holds; numbers are in the base unit of their dimension where the heading does not say otherwise.
    pub holds: Holds,
    /// Whether a log without it says nothing.
    pub is_needed: bool,
    /// What it means, as the end of a sentence that begins with its name.
    pub meaning: &'static str,
}

const NEEDED: bool = true;
const OPTIONAL: bool = false;

macro_rules! columns {
    ($(in $log:ident { $($name:literal $holds:expr, $needed:ident, $meaning:literal;)* })*) => {
        &[$($(DesignColumn {
            log: LogKind::$log, name: $name, holds: $holds, is_needed: $needed, meaning: $meaning,
        }),*),*]
    };
}

/// All columns that logs may have, log by log; crops of the flat style come on top in the runs log.
pub const COLUMNS: &[DesignColumn] = columns! {
    in Runs {
        "run" Text, NEEDED, "the name of the run, which no other run has";
        "date" Date, OPTIONAL, "the day on which it was made";
        "lot" Text, OPTIONAL, "the lots of feed, `;` between several";
        "lot_share" Text, OPTIONAL, "the share of each of several lots";
        "feed_mass" Number(Mass), OPTIONAL, "the fresh feed charged";
        "feed_assay" Number(Fraction), OPTIONAL, "the assay of the feed of this run alone";
        "oxidant_mass" Number(Mass), OPTIONAL, "the oxidant charged";
        "residue_mass" Number(Mass), OPTIONAL, "the residue charged";
        "residue_from" Text, OPTIONAL, "the runs whose residue was charged, `;` between several";
        "residue_share" Text, OPTIONAL, "the share of each of them in the charge, `;` between several; by what each run left where it is empty";
        "residue_assay" Number(Fraction), OPTIONAL, "the assay of the residue charged";
        "residue_moisture" Number(Fraction), OPTIONAL, "the free moisture of the residue when it was charged; as it was left where it is empty";
        "liquor_in" Number(Volume), OPTIONAL, "the mother liquor of earlier runs that was charged";
        "liquor_from" Text, OPTIONAL, "the runs whose mother liquor was charged, `;` between several";
        "liquor_in_conc" Number(MassConcentration), OPTIONAL, "the strength of the mother liquor charged; as it was left where it is empty";
        "labour" Number(Time), OPTIONAL, "the time that people worked at it";
        "liquor_volume" Number(Volume), OPTIONAL, "the mother liquor left";
        "liquor_conc" Number(MassConcentration), OPTIONAL, "the strength of the mother liquor left";
        "set_aside" Text, OPTIONAL, "the reason that keeps the run out of every fit";
        "purity" Number(Fraction), OPTIONAL, "the purity of the whole product";
        "revision" Text, OPTIONAL, "which of several lines of one run counts: the last one";
    }
    in Lots {
        "lot" Text, NEEDED, "the name of the lot";
        "assay" Number(Fraction), NEEDED, "its assay";
        "price" PriceOfMass, OPTIONAL, "what a mass of it costs";
        "source" Text, OPTIONAL, "where its assay is from; several rows of one lot, each from another source, are combined";
        "opened" Date, OPTIONAL, "the day on which the bag was opened";
    }
    in Crops {
        "run" Text, NEEDED, "the run that it came from";
        "crop" Text, OPTIONAL, "its number, 1 where the cell is empty";
        "mass" Number(Mass), NEEDED, "its mass as weighed";
        "moisture" Number(Fraction), OPTIONAL, "its free moisture; by its drying where the cell is empty";
        "wet_mass" Number(Mass), OPTIONAL, "a sample of it as weighed, with its dish";
        "dry_mass" Number(Mass), OPTIONAL, "the same dried, with its dish";
        "tare" Number(Mass), OPTIONAL, "the empty dish, 0 where the balance was set to zero with it";
        "ignited_sample" Number(Mass), OPTIONAL, "a sample of it with its dish, before it was ignited";
        "ignited_mass" Number(Mass), OPTIONAL, "what that left on ignition, with its dish";
        "ignited_tare" Number(Mass), OPTIONAL, "the empty dish, 0 where the balance was set to zero with it";
        "liquor_volume" Number(Volume), OPTIONAL, "the liquor that it was filtered from";
        "temperature" Number(Temperature), OPTIONAL, "the temperature of the filtration";
    }
    in Titres {
        "run" Text, NEEDED, "the run of the sample";
        "crop" Text, OPTIONAL, "what was titrated: the number of a crop, `residue`, `feed`, or `control` for the reference material";
        "date" Date, OPTIONAL, "the day of the titration; that of its run where the cell is empty";
        "sample_mass" Number(Mass), NEEDED, "the sample weighed in";
        "aliquot" Number(Fraction), OPTIONAL, "the part of it that was titrated, or its volume of the flask";
        "flask" Number(Volume), OPTIONAL, "the flask that an aliquot was taken from";
        "dilution" Number(Plain), OPTIONAL, "how many times it was diluted";
        "titrant" Text, OPTIONAL, "the name of the titrant";
        "titre" Number(Volume), NEEDED, "the titrant used";
        "blank" Number(Volume), OPTIONAL, "the titrant used without sample, read for this titration alone";
        "blank_of" Text, OPTIONAL, "the name of a blank in the blanks log, which all titrations that name it share";
        "back_titrant" Text, OPTIONAL, "the name of the back titrant";
        "back_titre" Number(Volume), OPTIONAL, "the back titrant used";
    }
    in Titrants {
        "titrant" Text, NEEDED, "the name of the titrant";
        "date" Date, OPTIONAL, "the day from which on it holds";
        "concentration" Number(Concentration), OPTIONAL, "its stated strength";
        "standard" Text, OPTIONAL, "the formula of the standard that it was set against";
        "standard_mass" Number(Mass), OPTIONAL, "the standard weighed in";
        "standard_purity" Number(Fraction), OPTIONAL, "the purity of the standard";
        "standard_ratio" Number(Plain), OPTIONAL, "the moles of titrant per mole of standard";
        "titre" Number(Volume), OPTIONAL, "the titrant used";
        "blank" Number(Volume), OPTIONAL, "the titrant used without standard";
        "aliquot" Number(Fraction), OPTIONAL, "the part of the standard that was titrated, or its volume of the flask";
        "flask" Number(Volume), OPTIONAL, "the flask that an aliquot was taken from";
    }
    in Blanks {
        "blank" Text, NEEDED, "the name of the blank; several rows of one name are replicates";
        "date" Date, OPTIONAL, "the day of the titration";
        "titre" Number(Volume), NEEDED, "the titrant used without sample";
    }
    in Residues {
        "run" Text, NEEDED, "the run that left it";
        "date" Date, OPTIONAL, "the day on which it was left; that of its run where the cell is empty";
        "mass" Number(Mass), NEEDED, "its mass";
        "assay" Number(Fraction), OPTIONAL, "its assay";
        "moisture" Number(Fraction), OPTIONAL, "its free moisture";
        "jar" Text, OPTIONAL, "the jar that it was put into with that of other runs, which `residue_from` may name";
    }
    in Readings {
        "run" Text, OPTIONAL, "the run; the stem of the file where there is no such column";
        "time" Moment, NEEDED, "when it was read";
        "temperature" Number(Temperature), NEEDED, "the temperature read";
    }
};

/// The columns that a log may have; crops of the flat style come on top in the runs log.
pub(super) fn known(kind: LogKind) -> impl Iterator<Item = &'static DesignColumn> {
    COLUMNS.iter().filter(move |column| column.log == kind)
}

/// Columns without which a log says nothing.
pub(super) fn needed(kind: LogKind) -> impl Iterator<Item = &'static str> {
    let needed = known(kind).filter(|column| column.is_needed);
    needed.map(|column| column.name)
}

/// What the column of that name holds, `u_` partners and flat crops (`crop1_mass`, `purity1`, `moisture1`) included.
pub(super) fn holds(kind: LogKind, name: &str) -> Option<Holds> {
    let name = name.strip_prefix("u_").unwrap_or(name);
    if let Some(column) = known(kind).find(|column| column.name == name) {
        return Some(column.holds);
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
