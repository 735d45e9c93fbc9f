//! Reasons why there is no result.
//!
//! In: what stood in the way, by name. Out: [`Reason`] and [`NoLimits`].
//! This module never decides whether there is a result.

use super::slip::Part;

/// Why a run has no such result.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Reason {
    /// The campaign names no product, so that there is nothing to count in.
    NoProduct,
    /// No feed mass is logged.
    NoFeedMass,
    /// Neither a lot nor an assay of the feed is logged.
    NoLot,
    /// The assay of a lot is not logged.
    NoAssayOfLot {
        /// The lot.
        lot: String,
    },
    /// No crop is logged.
    NoCrop,
    /// A crop was not titrated.
    NoTitre {
        /// Its number.
        crop: u32,
    },
    /// A crop has no purity, in a campaign that titrates nothing.
    NoPurity {
        /// Its number.
        crop: u32,
    },
    /// A crop has no purity by difference.
    NotByDifference {
        /// Its number.
        crop: u32,
        /// What is not logged of it; nothing where moisture and impurities leave no product.
        missing: Vec<String>,
    },
    /// An entry that it rests on cannot be right.
    Withheld {
        /// Which one.
        part: Part,
    },
    /// What the result would be divided by is zero.
    NothingToCompareWith,
    /// The mother liquor was not measured.
    LiquorNotMeasured,
    /// The residue taken out was not measured.
    ResidueNotMeasured,
    /// The residue taken out has no assay.
    ResidueNotAssayed,
    /// The content of the residue is what closes the balance, so that the balance proves nothing.
    ResidueByDifference,
    /// Nothing that came out beside the crops was measured.
    NothingBesideTheCrops,
    /// More of the product of a second element was logged than theory allows.
    SecondAboveTheory,
    /// The residue charged has neither an assay nor a run that it came from.
    ResidueFromNowhere,
    /// No residue is logged of the run that the residue charged came from.
    NoResidueOf {
        /// That run.
        run: String,
    },
    /// The residue of the run that the residue charged came from has no assay.
    NoAssayOfResidueOf {
        /// That run.
        run: String,
    },
    /// The moisture of the residue of the run that the residue charged came from is not known.
    NoMoistureOfResidueOf {
        /// That run.
        run: String,
    },
    /// The mother liquor charged has neither a strength nor a run that it came from.
    LiquorFromNowhere,
    /// Volume and strength of the mother liquor of the run that it came from are not logged.
    NoLiquorOf {
        /// That run.
        run: String,
    },
    /// The runs that the residue charged came from left none.
    NoResidueLeft,
}

/// Why no limits of a control chart can be drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoLimits {
    /// There are too few values to estimate where the process stands.
    TooFewValues {
        /// How many there are.
        there: usize,
        /// How many it takes.
        needed: usize,
    },
    /// The first values are all the same.
    NoScatter {
        /// How many they are.
        first: usize,
    },
}
