//! The table of rules that entries are judged by.
//!
//! In: nothing. Out: for each kind of entry its dimension, how far it may lie from its neighbours, and the factors of slips.
//! This module never looks at an entry.
//!
//! All limits are common practice, no source, unless a line says otherwise; `tests/it/slips/` counts what they find in logs with
//! slips and what they raise in clean ones.

use crate::caveat::{Part, SlipOf};
use crate::units::Dimension::{
    self, Concentration, Fraction, Mass, MassConcentration, Temperature, Time, Volume,
};

/// A kind of entry that is compared with its neighbours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    Feed,
    FeedAssay,
    Oxidant,
    ResidueCharged,
    ResidueChargedAssay,
    LiquorCharged,
    LiquorChargedStrength,
    Labour,
    LiquorVolume,
    LiquorStrength,
    Crop,
    Purity,
    Residue,
    ResidueAssay,
    Blank,
    Strength,
    LotAssay,
    Reagent,
    Share,
    Own,
    Warmth,
}

/// What the entries of each kind measure, and how many times off the middle of its neighbours one may be, however little these
/// scatter; of temperatures how many degrees. What is varied on purpose (oxidant, residue) may lie further off than what is always
/// the same (purities). Last the column of each, empty where it has a name of its own.
const RULES: [(Kind, Dimension, f64, &str); 21] = [
    (Kind::Feed, Mass, 3.0, "feed_mass"),
    (Kind::FeedAssay, Fraction, 1.5, "feed_assay"),
    (Kind::Oxidant, Mass, 5.0, "oxidant_mass"),
    (Kind::ResidueCharged, Mass, 10.0, "residue_mass"),
    (Kind::ResidueChargedAssay, Fraction, 5.0, "residue_assay"),
    (Kind::LiquorCharged, Volume, 10.0, "liquor_in"),
    (
        Kind::LiquorChargedStrength,
        MassConcentration,
        4.0,
        "liquor_in_conc",
    ),
    (Kind::Labour, Time, 5.0, "labour"),
    (Kind::LiquorVolume, Volume, 4.0, "liquor_volume"),
    (Kind::LiquorStrength, MassConcentration, 4.0, "liquor_conc"),
    (Kind::Crop, Mass, 4.0, ""),
    (Kind::Purity, Fraction, 1.25, "purity"),
    (Kind::Residue, Mass, 5.0, "residue_mass"),
    (Kind::ResidueAssay, Fraction, 5.0, "residue_assay"),
    (Kind::Blank, Volume, 4.0, "blank"),
    (Kind::Strength, Concentration, 1.25, "concentration"),
    (Kind::LotAssay, Fraction, 2.0, "assay"),
    (Kind::Reagent, Mass, 5.0, ""),
    (Kind::Share, Fraction, 5.0, ""),
    (Kind::Own, Time, 5.0, ""),
    (Kind::Warmth, Temperature, 40.0, ""),
];

impl Kind {
    /// Fewest others of this kind that it is compared with.
    pub fn fewest(self) -> usize {
        match self {
            Kind::LotAssay | Kind::Strength => FEWEST_OF_FEW,
            _ => FEWEST,
        }
    }

    /// The line of the table for this kind.
    fn rule(self) -> (Kind, Dimension, f64, &'static str) {
        let found = RULES.iter().find(|(kind, ..)| *kind == self);
        *found.unwrap_or(&RULES[0])
    }

    /// What its entries measure.
    pub fn dimension(self) -> Dimension {
        self.rule().1
    }

    /// The column of an entry, as `[check] accept` names it; `of` sets it apart from others of its kind.
    pub fn column(self, of: &str) -> String {
        match (self, self.rule().3) {
            (Kind::Crop, _) => format!("crop{of}_mass"),
            (Kind::Purity, column) => format!("{column}{of}"),
            (_, "") => of.to_string(),
            (_, column) => column.to_string(),
        }
    }

    /// What is withheld of a run with an entry of its own; `of` as above.
    pub fn part(self, of: &str) -> Option<Part> {
        Some(match self {
            Kind::Feed => Part::Feed,
            Kind::FeedAssay => Part::FeedAssay,
            Kind::Oxidant => Part::Oxidant,
            Kind::ResidueCharged | Kind::ResidueChargedAssay => Part::Charged,
            Kind::LiquorCharged | Kind::LiquorChargedStrength => Part::LiquorIn,
            Kind::Labour => Part::Labour,
            // That of a crop stands for no result.
            Kind::LiquorVolume | Kind::LiquorStrength if of.is_empty() => Part::Liquor,
            Kind::Crop => Part::Crop(of.parse().ok()?),
            Kind::Purity => Part::Purity,
            Kind::Residue => Part::Residue,
            Kind::ResidueAssay => Part::ResidueAssay,
            _ => return None,
        })
    }

    /// On which scale it is compared: the logarithm of what can only be above zero, a temperature as it is.
    pub fn on_scale(self, value: f64) -> Option<f64> {
        match self {
            Kind::Warmth => Some(value),
            _ => (value > 0.0).then(|| value.ln()),
        }
    }

    /// Back from that scale.
    pub fn off_scale(self, value: f64) -> f64 {
        match self {
            Kind::Warmth => value,
            _ => value.exp(),
        }
    }

    /// The least distance on that scale that counts as off.
    pub fn least(self) -> f64 {
        match self.rule() {
            (Kind::Warmth, _, least, _) => least,
            (_, _, least, _) => least.ln(),
        }
    }

    /// Unit of its values; empty for a column of the user's own.
    pub fn unit(self) -> &'static str {
        match self {
            Kind::Own => "",
            _ => self.dimension().base(),
        }
    }
}

/// Fewest others that make a neighbourhood; of lots and standardisations there are only a few.
pub(super) const FEWEST: usize = 4;
pub(super) const FEWEST_OF_FEW: usize = 2;

/// Robust standard deviations off its neighbours from which an entry counts as off, with any number of neighbours, and what is
/// added over their number: the spread of a few is hardly known.
pub(super) const SPREADS: [f64; 2] = [6.0, 36.0];

/// An entry so many times off that one of the usual slips explains cannot be right: nobody makes such a run on purpose. The smallest
/// that is meant is a lost `kilo` or two decimal places.
pub(super) const CANNOT_BE: f64 = 50.0;

/// How many times off a slip may leave an entry that it explains.
pub(super) const IN_LINE: f64 = 1.6;

/// Results beyond what can be: standard uncertainties, and the part that no lack of stated uncertainty explains.
/// Joint over all runs of a campaign: of 64 sound runs at the very bound one campaign in 54,000 has one (normal, upper side).
pub(super) const BEYOND: [f64; 2] = [5.0, 0.05];

/// The same for what is only unlikely: one campaign in two hundred.
pub(super) const HARDLY: [f64; 2] = [3.8, 0.02];

/// The same of purities, which are known far better: an interference or a hydrate that lost water shows at half a point.
pub(super) const BEYOND_PURE: [f64; 2] = [5.0, 0.005];
pub(super) const HARDLY_PURE: [f64; 2] = [3.8, 0.003];

/// A result of the middle of all runs that is no such result: purities against 1 or the specification.
pub(super) const ALL_OFF: [f64; 2] = [0.75, 1.03];

/// Temperatures of liquors at a filter \[degC\].
pub(super) const LIQUOR: [f64; 2] = [-30.0, 130.0];

/// Temperatures of a furnace \[degC\].
pub(super) const FURNACE: [f64; 2] = [-50.0, 1800.0];

/// A crop that is more than half moisture is no dry crop.
pub(super) const WETTEST: f64 = 0.5;

/// Liquor so many times as strong as a saturated one at its temperature.
pub(super) const SATURATED: f64 = 2.0;

/// Zero of the Celsius scale \[K\].
pub(super) const KELVIN: f64 = 273.15;

/// How far off the middle of its neighbours a corrected temperature may lie \[K\].
const WARM: f64 = 25.0;

/// What an entry of some kind was likely meant to be, of the usual slips the one that comes nearest to the middle of its neighbours.
pub(super) fn explained(kind: Kind, value: f64, usual: f64) -> Option<(SlipOf, f64)> {
    let decimal = |times: f64| (SlipOf::DecimalPoint, value / times);
    let unit = |how: SlipOf, times: f64| vec![(how.clone(), value / times), (how, value * times)];
    let mut meant: Vec<(SlipOf, f64)> = match kind.dimension() {
        Mass => unit(SlipOf::Kilograms, 1000.0),
        Volume => unit(SlipOf::Litres, 1000.0),
        Time => unit(SlipOf::Hours, 60.0),
        Fraction => unit(SlipOf::PerCent, 100.0),
        Concentration => unit(SlipOf::Millimoles, 1000.0),
        Temperature => {
            let shifts = [-KELVIN, KELVIN].into_iter();
            shifts.map(|by| (SlipOf::Kelvin, value + by)).collect()
        }
        _ => Vec::new(),
    };
    meant.extend([10.0, 0.1, 100.0, 0.01, 1000.0, 0.001].map(decimal));
    let left = |meant: f64| match kind {
        Kind::Warmth => (meant - usual).abs() / WARM,
        _ => (meant / usual).ln().abs() / IN_LINE.ln(),
    };
    let fitting = meant.into_iter().filter(|(_, meant)| left(*meant) <= 1.0);
    // Of two that give the same, the first: kg and g before three decimal places.
    let nearest = fitting.min_by(|(_, one), (_, other)| left(*one).total_cmp(&left(*other)));
    nearest.filter(|(_, meant)| (meant - value).abs() > 1e-9 * value.abs())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_kind_has_a_line_of_its_own() {
        for (position, (kind, ..)) in RULES.iter().enumerate() {
            let first = RULES.iter().position(|(other, ..)| other == kind);
            assert_eq!(first, Some(position), "{kind:?}");
            assert_eq!(kind.rule().0, *kind);
        }
    }

    #[test]
    fn a_slip_is_explained_by_the_factor_that_comes_nearest() {
        // 2.124 kg typed as grams, a lost decimal point, 25 °C in kelvin, 82 % under fractions.
        let cases = [
            (Kind::Feed, 0.2, 205.0, SlipOf::Kilograms),
            (Kind::Crop, 2124.0, 210.0, SlipOf::DecimalPoint),
            (Kind::Warmth, 298.15, 22.0, SlipOf::Kelvin),
            (Kind::FeedAssay, 82.0, 0.8, SlipOf::PerCent),
        ];
        for (kind, value, usual, how) in cases {
            let found = explained(kind, value, usual).map(|(how, _)| how);
            assert_eq!(found, Some(how), "{value}");
        }
        assert_eq!(explained(Kind::Crop, 400.0, 210.0), None);
    }
}
