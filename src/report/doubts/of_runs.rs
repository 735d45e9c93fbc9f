//! Doubts about the results of single runs, in words.
//!
//! In: the run and the figures of the doubt. Out: [`Words`].
//! This module never escapes a name.

use super::{Words, percent};
use crate::caveat::{Ends, PlusMinus, Reason};
use crate::report::reasons::no_result;

pub(super) fn purity_above_one(run: &str, purity: PlusMinus) -> Words {
    Words::new(
        format!(
            "purity of run {run} is {}, above 100 % beyond its uncertainty",
            percent(purity)
        ),
        "look for effloresced hydrate, a substance that uses up titrant too, or a wrong sample mass",
    )
}

pub(super) fn above_the_ceiling(run: &str, part: PlusMinus) -> Words {
    Words::new(
        format!(
            "run {run} gave {} of what the stoichiometry of its route allows",
            percent(part)
        ),
        "check the ceiling in the campaign file, the assay of the feed and the crop masses",
    )
}

pub(super) fn no_contained_yield(run: &str, reason: &Reason) -> Words {
    Words::new(
        format!("run {run} has no contained yield: {}", no_result(reason)),
        "titrate the crop while some of it is left; until then the run is in no model of yield or purity",
    )
}

pub(super) fn residue_without_assay(run: &str, charged: f64, reason: &Reason) -> Words {
    Words::new(
        format!(
            "run {run} charged {charged} g of residue but its content is unknown ({}), so its yields count fresh feed only",
            no_result(reason)
        ),
        "log `residue_assay`, or `residue_from` and the assay in the residues log",
    )
}

pub(super) fn first_order_fails(run: &str, simulated: Ends, apart: f64) -> Words {
    Words::new(
        format!(
            "for run {run} the interval by propagation misses the simulated one, {:.2} to {:.2} %, by {:.2} points",
            100.0 * simulated.low,
            100.0 * simulated.high,
            100.0 * apart
        ),
        "the simulated interval is used for this run",
    )
}

pub(super) fn simulation_not_stable(run: &str, tolerance: f64, trials: usize) -> Words {
    Words::new(
        format!(
            "the simulated interval of run {run} still moves by more than {:.2} points after {trials} trials",
            100.0 * tolerance
        ),
        "an input with one or two degrees of freedom has tails without end: repeat that measurement a few times",
    )
}
