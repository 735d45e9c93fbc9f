//! The table of rules that entries are judged by.
//!
//! In: nothing. Out: for each kind of entry its dimension, how far it may lie from its neighbours, and the factors of slips.
//! This module never looks at an entry.
//!
//! All limits are common practice, no source, unless a line says otherwise; `tests/it/slips/` counts what they find in logs with
//! slips and what they raise in clean ones.

use crate::caveat::SlipOf;
use crate::units::Dimension::{
    self, Concentration, Fraction, Mass, MassConcentration, Plain, Time, Volume,
};

/// What entries of one kind are like.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rule {
    /// The kind.
    pub kind: Kind,
    /// What they measure.
    pub dimension: Dimension,
    /// How many times off the middle of its neighbours such an entry may be, however little these scatter.
    pub times: f64,
}

/// A kind of entry that is compared with its neighbours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    Feed,
    FeedAssay,
    Oxidant,
    ResidueCharged,
    ResidueChargedAssay,
    Labour,
    LiquorVolume,
    LiquorStrength,
    Crop,
    Purity,
    Residue,
    ResidueAssay,
    Sample,
    Blank,
    Aliquot,
    Dilution,
    Strength,
    LotAssay,
    LotPrice,
    Own,
}

/// One line a kind. What is varied on purpose (oxidant, residue) may lie further off than what is always the same (purities).
const RULES: [Rule; 20] = [
    rule(Kind::Feed, Mass, 3.0),
    rule(Kind::FeedAssay, Fraction, 2.0),
    rule(Kind::Oxidant, Mass, 5.0),
    rule(Kind::ResidueCharged, Mass, 10.0),
    rule(Kind::ResidueChargedAssay, Fraction, 5.0),
    rule(Kind::Labour, Time, 5.0),
    rule(Kind::LiquorVolume, Volume, 4.0),
    rule(Kind::LiquorStrength, MassConcentration, 4.0),
    rule(Kind::Crop, Mass, 4.0),
    rule(Kind::Purity, Fraction, 1.25),
    rule(Kind::Residue, Mass, 5.0),
    rule(Kind::ResidueAssay, Fraction, 5.0),
    rule(Kind::Sample, Mass, 5.0),
    rule(Kind::Blank, Volume, 4.0),
    rule(Kind::Aliquot, Fraction, 1.9),
    rule(Kind::Dilution, Plain, 1.9),
    rule(Kind::Strength, Concentration, 1.25),
    rule(Kind::LotAssay, Fraction, 2.0),
    rule(Kind::LotPrice, Plain, 20.0),
    rule(Kind::Own, Plain, 8.0),
];

const fn rule(kind: Kind, dimension: Dimension, times: f64) -> Rule {
    Rule {
        kind,
        dimension,
        times,
    }
}

impl Kind {
    /// Fewest others of this kind that it is compared with.
    pub fn fewest(self) -> usize {
        match self {
            Kind::LotAssay | Kind::LotPrice | Kind::Strength => FEWEST_OF_FEW,
            _ => FEWEST,
        }
    }

    /// The line of the table for this kind.
    pub fn rule(self) -> &'static Rule {
        let found = RULES.iter().find(|rule| rule.kind == self);
        found.expect("each kind has a line")
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
/// Joint over all runs of a campaign: of 64 sound runs at the very bound one in 10,000 campaigns has one (normal, two-sided).
pub(super) const BEYOND: [f64; 2] = [5.0, 0.05];

/// The same for what is only unlikely: one in a hundred campaigns.
pub(super) const HARDLY: [f64; 2] = [3.8, 0.02];

/// A result of the middle of all runs that is no such result: purities against 1 or the specification.
pub(super) const ALL_OFF: [f64; 2] = [0.75, 1.05];

/// Temperatures of liquors at a filter [degC].
pub(super) const LIQUOR: [f64; 2] = [-30.0, 130.0];

/// Temperatures of a furnace [degC].
pub(super) const FURNACE: [f64; 2] = [-50.0, 1800.0];

/// A crop that is more than half moisture is no dry crop.
pub(super) const WETTEST: f64 = 0.5;

/// Liquor so many times as strong as a saturated one at its temperature.
pub(super) const SATURATED: f64 = 2.0;

/// The factors in which people slip in entries of a dimension, the likeliest first.
pub(super) fn slips(kind: Kind) -> Vec<(f64, SlipOf)> {
    let decimal = [
        (10.0, SlipOf::DecimalPoint),
        (100.0, SlipOf::DecimalPoint),
        (1000.0, SlipOf::DecimalPoint),
    ];
    let own: Vec<(f64, SlipOf)> = match kind.rule().dimension {
        Mass => vec![(1000.0, SlipOf::Kilograms)],
        Volume => vec![(1000.0, SlipOf::Litres)],
        Time => vec![(60.0, SlipOf::Hours)],
        Fraction if kind == Kind::Aliquot => vec![],
        Fraction => vec![(100.0, SlipOf::PerCent)],
        Concentration => vec![(1000.0, SlipOf::Millimoles)],
        Plain if kind == Kind::Own => vec![(60.0, SlipOf::Hours)],
        _ => vec![],
    };
    own.into_iter().chain(decimal).collect()
}
