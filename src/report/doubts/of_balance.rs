//! Doubts about where the followed element went, in words.
//!
//! In: the run and the figures of the doubt. Out: [`Words`].
//! This module never escapes a name.

use super::{Words, percent};
use crate::caveat::{BalancePart, PlusMinus, Suspect};

/// What to do about a balance that does not close.
const LOOK: &str = "look for a mistyped mass, volume or concentration in the entries of that run";

pub(super) fn closure_above_one(run: &str, closure: PlusMinus, suspect: Option<Suspect>) -> Words {
    Words::new(
        format!(
            "more came out of run {run} than went in: {}",
            found(closure, suspect)
        ),
        LOOK,
    )
}

pub(super) fn closure_below_others(
    run: &str,
    closure: PlusMinus,
    suspect: Option<Suspect>,
) -> Words {
    Words::new(
        format!(
            "less came out of run {run} than out of the others: {}",
            found(closure, suspect)
        ),
        LOOK,
    )
}

fn found(closure: PlusMinus, suspect: Option<Suspect>) -> String {
    let suspicion = suspect.map_or_else(String::new, |suspect| {
        format!(
            "; furthest off is the {}: {:.1} % of the charge where the other runs have {:.1} % in the middle",
            match suspect.part {
                BalancePart::Crops => "crop masses or purity",
                BalancePart::Liquor => "mother liquor",
                BalancePart::Residue => "residue",
            },
            100.0 * suspect.own,
            100.0 * suspect.middle
        )
    });
    format!("{} of the charge{suspicion}", percent(closure))
}

pub(super) fn open(runs: usize, missing: PlusMinus) -> Words {
    let (what, advice) = if missing.value > 0.0 {
        (
            "is accounted for nowhere",
            "look for splashes, wash water, filters and vessels that keep some back; until then every yield may be low by that much at most",
        )
    } else {
        (
            "came out beyond what went in",
            "look at the assays of feed and liquor and at the balance for an error that all runs share",
        )
    };
    let size = PlusMinus {
        value: missing.value.abs(),
        ..missing
    };
    Words::new(
        format!(
            "in the middle of {runs} runs {} of the charge {what}",
            percent(size)
        ),
        advice,
    )
}

pub(super) fn leaves_no_residue(run: &str, assay: PlusMinus) -> Words {
    Words::new(
        format!(
            "what crops and mother liquor of run {run} leave of its charge would make an assay of {:.2} ± {:.2} for its residue, which cannot be",
            assay.value, assay.half_width
        ),
        "look for a mistyped crop, liquor or charge; the residue counts as not assayed until then",
    )
}

pub(super) fn taken_for_assay(runs: &[String], of: usize) -> Words {
    Words::new(
        format!(
            "the residue of {} of {of} runs was not assayed, so its content was taken as what crops and liquor left of the charge, losses included",
            runs.len()
        ),
        format!(
            "assay the residue: its content is an upper bound until then, and a run that charges it looks worse than it was (runs {})",
            runs.join(", ")
        ),
    )
}
