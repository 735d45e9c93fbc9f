//! Why a run has no result, in words.
//!
//! In: a [`Reason`]. Out: a clause.
//! This module never escapes a name.

use crate::runs::Reason;

/// The reason in words.
pub(in crate::report) fn no_result(reason: &Reason) -> String {
    match reason {
        Reason::NoProduct => "the campaign names no product".into(),
        Reason::NoFeedMass => "no feed mass is logged".into(),
        Reason::NoLot => "neither a lot nor a feed assay is logged".into(),
        Reason::NoAssayOfLot { lot } => format!("the assay of lot {lot} is not logged"),
        Reason::NoCrop => "no crop is logged".into(),
        Reason::NoTitre { crop } => format!("crop {crop} has no titre"),
        Reason::NoPurity { crop } => format!("crop {crop} has no purity"),
        Reason::NothingToCompareWith => {
            "there is nothing to compare with: the divisor is zero".into()
        }
        Reason::LiquorNotMeasured => "the mother liquor was not measured".into(),
        Reason::ResidueNotMeasured => "the residue was not measured".into(),
        Reason::ResidueNotAssayed => "the residue has no assay".into(),
        Reason::ResidueByDifference => {
            "the residue was not assayed; its content was taken by difference".into()
        }
        Reason::NothingBesideTheCrops => {
            "neither the mother liquor nor the residue was measured".into()
        }
        Reason::ResidueFromNowhere => {
            "the residue charged has neither an assay nor a run it came from".into()
        }
        Reason::NoResidueOf { run } => format!("no residue of run {run} is logged"),
        Reason::NoAssayOfResidueOf { run } => format!("the residue of run {run} has no assay"),
        Reason::NoResidueLeft => "the runs that the residue came from left none".into(),
    }
}
