//! Doubts about what was logged, in words.
//!
//! In: names and figures of the doubt. Out: [`Words`].
//! This module never escapes a name.

use super::Words;

/// Runs without a date that are named; more are only counted.
const NAMED: usize = 5;

pub(super) fn input_without_uncertainty(sources: &[String], runs: usize) -> Words {
    Words::new(
        format!(
            "no uncertainty is stated for {} in {runs} runs, so the ± of these runs is a lower bound",
            sources.join(", ")
        ),
        "add them to `[uncertainty]` in the campaign file, or log `u_` columns",
    )
}

pub(super) fn date_missing(without: &[String], of: usize) -> Words {
    let mut named = without[..without.len().min(NAMED)].join(", ");
    if without.len() > NAMED {
        named.push_str(", ...");
    }
    Words::new(
        format!(
            "{} of {of} runs have no date ({named}), so all runs stand in the order of the log instead of their dates",
            without.len()
        ),
        "log the date of every run, or of none",
    )
}

pub(super) fn more_residue(run: &str, charged: f64, from: &[String], there: f64) -> Words {
    Words::new(
        format!(
            "run {run} charged {charged} g of residue of {}, which left {there:.1} g",
            from.join(", ")
        ),
        "name every run that the residue came from, or correct one of the masses",
    )
}

pub(super) fn levels_differ_in_case(factor: &str, first: &str, second: &str) -> Words {
    Words::new(
        format!("{factor} has the levels {first} and {second}, which count as different"),
        "write one of them everywhere, if they mean the same",
    )
}

pub(super) fn price_of_lot(place: &str, text: &str, fault: &str) -> Words {
    Words::new(
        format!("the price of {place} is no price: {text}"),
        format!("{fault}; until then the feed price of the campaign file counts"),
    )
}

pub(super) fn assay_of_lot(lot: &str, assay: f64) -> Words {
    Words::new(
        format!(
            "the lots log states an assay of {assay} for lot {lot} without an uncertainty, as a supplier's claim would be"
        ),
        "titrate the lot, or state what is known under `u_assay`; until then `[uncertainty] assay` counts, if it is there",
    )
}
