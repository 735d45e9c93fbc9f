//! Rows of one log held against others: unknown runs, assays far off, gaps that are forgiven.
//!
//! In: all logs. Out: rows left out, with their reason.
//! This module never adds a run and never corrects an assay.

use super::logged::Logged;
use super::not_used::LeftOut;
use crate::error::{Cause, ErrorKind};
use crate::name::Sorted;

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
    let can_be = |value: &f64| *value > 0.0 && *value <= 1.0;
    let mut assays: Vec<f64> = assays.filter(can_be).collect();
    assays.sort_by(f64::total_cmp);
    (assays.len() >= FEWEST_TO_COMPARE).then(|| assays[assays.len() / 2])
}

/// How far off the middle an assay is, in words, where that is too far; an assay of zero is a fault of another kind.
pub(super) fn times_off(assay: f64, middle: f64) -> Option<String> {
    let off = (assay / middle).max(middle / assay);
    if assay <= 0.0 || off <= ASSAY_OFF {
        return None;
    }
    Some(match off > MOST_TIMES_TOLD {
        true => format!("more than {MOST_TIMES_TOLD} times"),
        false => format!("{off:.0} times"),
    })
}

/// Leaves out runs whose own feed assay is far off those of all charges and lots.
pub(super) fn leave_out_charges_far_off(logged: &mut Logged) {
    let of_lots = logged.lots.iter().filter_map(|lot| lot.assay);
    let of_runs = logged.runs.rows.iter().filter_map(|row| row.feed_assay);
    let Some(middle) = middle(of_lots.chain(of_runs).map(|number| number.value)) else {
        return;
    };
    for row in &logged.runs.rows {
        let assay = row.feed_assay.map_or(0.0, |assay| assay.value);
        let Some(off) = times_off(assay, middle) else {
            continue;
        };
        let place = &row.place;
        let message = format!("the feed assay in {place} is {off} off the other assays: {assay}");
        let fault = place.fault(ErrorKind::OutOfRange, message, MIXED_UP);
        let cause = Cause::Things("feed assay far off the other assays".into());
        let fault = fault.in_column("feed_assay");
        let fault = fault.alike(cause, Some(&assay.to_string()));
        logged.left_out.push(LeftOut::new(Some(&row.run), fault));
    }
}

/// Lists crops, titres, residues and readings of runs that the runs log does not have.
pub(super) fn leave_out_unknown_runs(logged: &mut Logged) {
    let known: Sorted = logged.runs.names.iter().map(String::as_str).collect();
    let unknown = logged.of_runs().filter(|(.., run)| !known.contains(run));
    let unknown = unknown.map(|(what, place, run)| {
        let noun = format!("{what} of an unknown run");
        let hint = "add the run to the runs log, or correct its name";
        let fault = place.thing(ErrorKind::UnknownName, &noun, Some(run), hint);
        LeftOut::new(Some(run), fault.in_column("run"))
    });
    let unknown: Vec<LeftOut> = unknown.collect();
    logged.left_out.extend(unknown);
}

/// A run that is set aside needs nothing but its name: an empty cell of it is no fault.
pub(super) fn forgive_gaps_of_runs_set_aside(logged: &mut Logged) {
    let rows = logged.runs.rows.iter();
    let aside = rows.filter(|row| row.set_aside.is_some());
    let aside: Sorted = aside.map(|row| row.run.as_str()).collect();
    logged.left_out.retain(|entry| {
        let is_gap = entry.error.kind() == ErrorKind::Missing && !entry.on_purpose;
        !(is_gap && entry.run.as_deref().is_some_and(|run| aside.contains(run)))
    });
}
