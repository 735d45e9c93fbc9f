//! Is an assay so far off the others that percent and fractions were mixed up?
//!
//! In: assays of lots and of single charges. Out: what is wrong with one of them, and runs left out for it.
//! This module never corrects an assay.

use super::Logged;
use super::rows::{LeftOut, LoggedNumber};
use crate::error::{Error, ErrorKind};

/// How far an assay must be off the middle of all to count as percent mixed up with fractions.
const ASSAY_OFF: f64 = 50.0;

/// Fewer assays have no middle to be off from.
const FEWEST_TO_COMPARE: usize = 3;

/// Beyond this, how many times an assay is off says no more.
const MOST_TIMES_TOLD: f64 = 10_000.0;

/// What to do about it.
pub(super) const MIXED_UP: &str =
    "a percent typed as a fraction, or the other way round? write `82 %` or `0.82`";

/// Middle of the assays that can be one, where there are enough.
pub(super) fn middle(assays: impl Iterator<Item = f64>) -> Option<f64> {
    let mut assays: Vec<f64> = assays
        .filter(|value| *value > 0.0 && *value <= 1.0)
        .collect();
    assays.sort_by(f64::total_cmp);
    (assays.len() >= FEWEST_TO_COMPARE).then(|| assays[assays.len() / 2])
}

/// How far off the middle an assay is, in words, where that is too far; an assay of zero is a fault of another kind.
pub(super) fn times_off(assay: f64, middle: f64) -> Option<String> {
    let off = (assay / middle).max(middle / assay);
    if assay <= 0.0 || off <= ASSAY_OFF {
        return None;
    }
    Some(if off > MOST_TIMES_TOLD {
        format!("more than {MOST_TIMES_TOLD} times")
    } else {
        format!("{off:.0} times")
    })
}

/// Leaves out runs whose own feed assay is far off those of all charges and lots.
pub(super) fn leave_out_charges_far_off(logged: &mut Logged) {
    let value = |number: &LoggedNumber| number.value;
    let of_lots = logged.lots.iter().filter_map(|lot| lot.assay.as_ref());
    let of_runs = logged
        .runs
        .rows
        .iter()
        .filter_map(|row| row.feed_assay.as_ref());
    let Some(middle) = middle(of_lots.chain(of_runs).map(value)) else {
        return;
    };
    for row in &logged.runs.rows {
        let Some(assay) = row.feed_assay else {
            continue;
        };
        let Some(off) = times_off(assay.value, middle) else {
            continue;
        };
        let error = Error::new(
            ErrorKind::OutOfRange,
            format!(
                "the feed assay in `{}` line {} is {off} off the other assays: {}",
                row.file, row.line, assay.value
            ),
        )
        .at(&row.file, row.line, "feed_assay")
        .hint(MIXED_UP);
        logged.left_out.push(LeftOut::of_run(&row.run, error));
    }
}
