//! Where the followed element went.
//!
//! In: what a run was charged with and what was measured of what came out, as grams of product that it is worth.
//! Out: [`Balance`].
//! This module never fills a gap: what was not measured stays unaccounted for.

use super::footing::ratio;
use super::{Outcome, Reason};
use crate::measured::Measured;

/// Where the followed element went, as fractions of what was charged.
#[derive(Debug, Clone)]
pub struct Balance {
    /// In the crops.
    pub crops: Outcome,
    /// In the mother liquor left.
    pub liquor: Outcome,
    /// In the residue taken out.
    pub residue: Outcome,
    /// All that was measured of what came out.
    pub closure: Outcome,
    /// The rest.
    pub unaccounted: Outcome,
}

impl Balance {
    /// A residue whose content was taken by difference closes the balance by itself, which then proves nothing.
    pub(super) fn close_by_difference(&mut self) {
        self.closure = Err(Reason::ResidueByDifference);
        self.unaccounted = Err(Reason::ResidueByDifference);
    }
}

/// What a run gave and took, each in grams of product that its content is worth.
pub(super) struct Flows<'a> {
    /// Fresh feed and residue charged.
    pub charged: &'a Outcome,
    /// Pure product in the crops.
    pub crops: &'a Outcome,
    /// Product in the mother liquor left.
    pub liquor: Outcome,
    /// What the residue taken out could still give.
    pub residue: Outcome,
}

impl Flows<'_> {
    /// Each flow as a fraction of the charge; closed where at least one flow beside the crops was measured.
    pub fn balance(&self) -> Balance {
        let share = |flow: &Outcome| ratio(flow, self.charged);
        let (crops, liquor, residue) =
            (share(self.crops), share(&self.liquor), share(&self.residue));
        let closure = match (&crops, &liquor, &residue) {
            (Err(reason), _, _) => Err(reason.clone()),
            (Ok(_), Err(_), Err(_)) => Err(Reason::NothingBesideTheCrops),
            (Ok(crops), liquor, residue) => Ok(Measured::sum(
                [Some(crops), liquor.as_ref().ok(), residue.as_ref().ok()]
                    .into_iter()
                    .flatten(),
            )),
        };
        let unaccounted = closure
            .as_ref()
            .map(|closure| &Measured::exact(1.0) - closure)
            .map_err(Clone::clone);
        Balance {
            crops,
            liquor,
            residue,
            closure,
            unaccounted,
        }
    }
}
