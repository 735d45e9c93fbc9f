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

/// Residue whose content is what the balance left.
pub(super) fn balance_for_assay(runs: &[String], of: usize) -> [String; 2] {
    [
        format!(
            "the residue of {} of {of} runs was not assayed, so its content was taken as what crops and liquor left of the charge, losses included",
            runs.len()
        ),
        format!(
            "assay the residue: its content is an upper bound until then, and a run that charges it looks worse than it was (runs {})",
            runs.join(", ")
        ),
    ]
}

/// Yields of a second element that are not known.
pub(super) fn second_unknown(
    element: &str,
    runs: &[String],
    of: usize,
    reason: &Reason,
) -> [String; 2] {
    let advice = match reason {
        Reason::SecondAboveTheory => format!(
            "look for a slip in `{element}_mass`, in the feed or in the assay of {element}; these yields are not used until then"
        ),
        _ => format!(
            "log `{element}_mass` and `{element}_purity` of these runs and the assays of {element} in lots and residues (runs {})",
            runs.join(", ")
        ),
    };
    let why = match reason {
        Reason::NoCrop => format!("`{element}_mass` is empty"),
        Reason::NoPurity { .. } => format!("`{element}_purity` is empty"),
        reason => no_result(reason),
    };
    let seen = format!(
        "the yield of {element} is not known in {} of {of} runs; the first is run {}: {why}",
        runs.len(),
        runs[0]
    );
    [seen, advice]
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
