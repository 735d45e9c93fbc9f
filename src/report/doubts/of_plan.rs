//! Doubts about where further runs are planned, in words.
//!
//! In: names and figures of the doubt. Out: [`Words`].
//! This module never escapes a name.

use super::Words;
use crate::caveat::{Ends, LotsPlannedOn, MissingLimit};

pub(super) fn without_limits(factor: &str, missing: MissingLimit, within: Ends) -> Words {
    let missing = match missing {
        MissingLimit::Both => "`low` and `high`",
        MissingLimit::Low => "`low`",
        MissingLimit::High => "`high`",
    };
    Words::new(
        format!(
            "{factor} has no {missing} under `[factors.{factor}]`, so it is planned within what was run, {} to {}",
            within.low, within.high
        ),
        "state `low` and `high`, if runs may safely lie further out, or must not",
    )
}

pub(super) fn without_a_shelf(lots: &[String], which: LotsPlannedOn) -> Words {
    let which = match which {
        LotsPlannedOn::OfTheLastRuns => "those of the last runs",
        LotsPlannedOn::AllLogged => "those logged",
    };
    Words::new(
        format!(
            "nothing says which lots are at hand, so the runs are planned on {which}: {}",
            lots.join(", ")
        ),
        "name what is left under `[shelf]`: `lots = [\"...\"]`",
    )
}

pub(super) fn new_lot(lot: &str) -> Words {
    Words::new(
        format!("no run was made on lot {lot} yet, so it counts as a new one of the usual spread"),
        "spread runs of the same settings over it and another lot, if one is left",
    )
}
