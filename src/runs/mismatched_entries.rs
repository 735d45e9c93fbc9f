//! Entries of different logs that do not fit together.
//!
//! In: all logs. Out: [`Caveat`]s, and runs left out because they name a lot or a run that nobody logged.
//! This module never judges a figure by itself, only entries against one another, and never guesses which name was meant.

use std::collections::BTreeSet;

use super::results::{FactorColumn, FactorValues};
use crate::campaign::{LOT, LogKind};
use crate::caveat::{Caveat, Doubt};
use crate::error::{Cause, Error, ErrorKind};
use crate::intake::{LeftOut, Logged};

/// Lists runs whose lot or whose residue is of an unknown name.
pub(super) fn leave_out_unknown_names(logged: &Logged, left_out: &mut Vec<LeftOut>) {
    let names: BTreeSet<&str> = logged.runs.names.iter().map(String::as_str).collect();
    let lots_logged = logged.present.contains(&LogKind::Lots);
    for row in &logged.runs.rows {
        let mut fault = |column: &str, error: Error| {
            left_out.push(LeftOut::new(Some(&row.run), error.in_column(column)));
        };
        let unknown = |noun: &str, name: &str, hint: &str| {
            let kind = ErrorKind::UnknownName;
            row.place.thing(kind, noun, Some(name), hint)
        };
        let other = |noun: &str, name: &str, message: String, hint: String| {
            let error = row.place.fault(ErrorKind::UnknownName, message, hint);
            error.alike(Cause::Things(noun.into()), Some(name))
        };
        let of_lots = row.lots.iter().filter(|_| row.feed_assay.is_none());
        for lot in of_lots.map(|share| &share.lot) {
            match logged.lots.iter().find(|known| known.lot == *lot) {
                None if lots_logged => {
                    let known: Vec<&str> = logged.lots.iter().map(|l| l.lot.as_str()).collect();
                    let hint = format!("lots that are logged: {}", known.join(", "));
                    fault(LOT, unknown("unknown lot", lot, &hint));
                }
                Some(known) if known.assay.is_none() => {
                    let message = format!(
                        "lot `{lot}` of run `{}` in {} has no usable assay",
                        row.run, row.place
                    );
                    let hint = format!("correct {}", known.place);
                    fault(LOT, other("lot without a usable assay", lot, message, hint));
                }
                _ => {}
            }
        }
        for from in &row.residue_from {
            if *from == row.run {
                let message = format!("run `{from}` in {} charges residue of itself", row.place);
                let hint = "name the earlier runs that the residue came from";
                let noun = "run that charges residue of itself";
                fault("residue_from", other(noun, from, message, hint.into()));
            } else if !names.contains(from.as_str()) {
                let hint = "name runs of the runs log, `;` between them";
                let noun = "residue of an unknown run";
                fault("residue_from", unknown(noun, from, hint));
            }
        }
    }
}

/// Doubts about levels that differ in upper and lower case only.
pub(super) fn of_levels(factors: &[FactorColumn]) -> Vec<Caveat> {
    let mut caveats = Vec::new();
    for factor in factors {
        let FactorValues::Choice { levels, .. } = &factor.values else {
            continue;
        };
        for (position, level) in levels.iter().enumerate() {
            let same = |other: &&String| other.to_lowercase() == level.to_lowercase();
            if let Some(twin) = levels[..position].iter().find(same) {
                caveats.push(Caveat::of_campaign(Doubt::LevelsDifferInCase {
                    factor: factor.name.clone(),
                    first: twin.clone(),
                    second: level.clone(),
                }));
            }
        }
    }
    caveats
}

/// A doubt where some runs have a date and others have none, so that the dates give no order.
pub(super) fn missing_dates(logged: &Logged) -> Option<Caveat> {
    let rows = logged.runs.rows.iter();
    let undated = rows.filter(|row| row.date.is_none());
    let without: Vec<String> = undated.map(|row| row.run.clone()).collect();
    let of = logged.runs.rows.len();
    let some = !without.is_empty() && without.len() < of;
    some.then(|| Caveat::of_campaign(Doubt::DateMissing { without, of }))
}
