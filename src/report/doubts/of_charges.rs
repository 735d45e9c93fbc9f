//! Doubts about residue and liquor that were charged and of which nobody knows what they held.
//!
//! In: what was charged, and why its content is unknown. Out: what was seen, and what to do.
//! This module never guesses a content.

use crate::caveat::Reason;
use crate::report::reasons::no_result;

/// Residue without an assay.
pub(super) fn residue_unknown(run: &str, charged: f64, reason: &Reason) -> [String; 2] {
    [
        format!(
            "run {run} charged {charged} g of residue but its content is unknown ({}), so its yields count fresh feed only",
            no_result(reason)
        ),
        "log `residue_assay`, or `residue_from` and the assay in the residues log".into(),
    ]
}

/// Mother liquor without a strength.
pub(super) fn liquor_unknown(run: &str, charged: f64, reason: &Reason) -> [String; 2] {
    [
        format!(
            "run {run} charged {charged} mL of mother liquor but its content is unknown ({}), so its yields do not count it and may be too high",
            no_result(reason)
        ),
        "log `liquor_in_conc`, or `liquor_from` and both `liquor_volume` and `liquor_conc` of those runs".into(),
    ]
}
