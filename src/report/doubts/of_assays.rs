//! Doubts about assays of lots, in words.
//!
//! In: the lot and a doubt about it. Out: what was seen, and what to do about it.
//! This module never weighs an assay.

use crate::caveat::Doubt;
use crate::report::print::{and_list, around, count, plain, probability};

/// What was seen and what to do; nothing of a doubt of another kind.
pub(super) fn of_assays(lot: &str, doubt: &Doubt) -> [String; 2] {
    match doubt {
        Doubt::AssayWithoutUncertainty { assay } => [
            format!(
                "the lots log states an assay of {assay} for lot {lot} without an uncertainty, as a supplier's claim would be"
            ),
            "titrate the lot, or state what is known under `u_assay`; until then `[uncertainty] assay` counts, if it is there".into(),
        ],
        Doubt::AssayWithoutWeight { sources } => [
            format!(
                "{} of lot {lot} without an uncertainty {} no weight beside those that state one{}",
                count(sources.len(), "assay"),
                if sources.len() == 1 { "has" } else { "have" },
                around(": ", &and_list(sources.iter().filter(|of| !of.is_empty())), "")
            ),
            "state how sure it is under `u_assay`, or for all under `[uncertainty] assay`".into(),
        ],
        Doubt::AssaysDisagree {
            assays,
            between,
            chance,
        } => [
            format!(
                "{assays} assays of lot {lot} lie further apart than their uncertainties explain (chance by luck {}); a standard deviation between sources of {} is counted besides",
                probability(*chance),
                plain(*between)
            ),
            "ask how each was sampled and titrated, and have the bag assayed once more; a third source tells more than repeats of one".into(),
        ],
        _ => [String::new(), String::new()],
    }
}
