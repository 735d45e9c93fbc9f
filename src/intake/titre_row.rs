//! Row of the titres log as it was logged.
//!
//! In: nothing. Out: [`TitreRow`], small where a titration has little.
//! This module never reads a cell.

use super::cell_values::{LoggedDate, LoggedNumber};
use crate::error::Place;
use crate::name::Name;

/// What stands under `crop` where the reference material was titrated.
pub(super) const CONTROL: &str = "control";

/// What was titrated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum TitreOf {
    /// The crop of that number.
    Crop(u32),
    /// The residue taken out of the run.
    Residue,
    /// The feed charged.
    Feed,
    /// The reference material of the campaign file; of no run.
    Control,
}

/// One titre.
#[derive(Debug, Clone)]
pub struct TitreRow {
    /// Where in the log.
    pub place: Place,
    /// Its run; empty for a control.
    pub run: Name,
    /// What was titrated.
    pub of: TitreOf,
    /// Sample weighed in \[g\].
    pub sample_mass: LoggedNumber,
    /// Name of the titrant; `None` leaves the campaign's.
    pub titrant: Option<Name>,
    /// Titrant used \[mL\].
    pub titre: LoggedNumber,
    /// Titrant used without sample, read for this titration alone \[mL\].
    pub blank: Option<LoggedNumber>,
    /// What few titrations have; there may be millions of rows without it.
    pub further: Option<Box<FurtherOfTitre>>,
}

/// What few titrations have.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FurtherOfTitre {
    /// Fraction of the dissolved sample that was titrated.
    pub aliquot: Option<LoggedNumber>,
    /// How many times it was diluted.
    pub dilution: Option<LoggedNumber>,
    /// Name of the back titrant.
    pub back_titrant: Option<Name>,
    /// Back titrant used \[mL\].
    pub back_titre: Option<LoggedNumber>,
    /// Name of its blank in the blanks log.
    pub blank_of: Option<Name>,
    /// The day of the titration; that of its run where none is logged.
    pub date: Option<LoggedDate>,
}

/// One titration without sample.
#[derive(Debug, Clone)]
pub struct BlankTitre {
    /// Where in the log.
    pub place: Place,
    /// Name of the blank, which its replicates share.
    pub blank: Name,
    /// Titrant used \[mL\].
    pub titre: LoggedNumber,
}

impl TitreRow {
    /// Fraction of the dissolved sample that was titrated.
    pub fn aliquot(&self) -> Option<LoggedNumber> {
        self.further.as_ref()?.aliquot
    }

    /// How many times it was diluted.
    pub fn dilution(&self) -> Option<LoggedNumber> {
        self.further.as_ref()?.dilution
    }

    /// Name of the back titrant.
    pub fn back_titrant(&self) -> Option<&Name> {
        self.further.as_ref()?.back_titrant.as_ref()
    }

    /// Name of its blank in the blanks log.
    pub fn blank_of(&self) -> Option<&Name> {
        self.further.as_ref()?.blank_of.as_ref()
    }

    /// The day of the titration, where one is logged.
    pub fn date(&self) -> Option<&LoggedDate> {
        self.further.as_ref()?.date.as_ref()
    }

    /// Back titrant used \[mL\].
    pub fn back_titre(&self) -> Option<LoggedNumber> {
        self.further.as_ref()?.back_titre
    }
}
