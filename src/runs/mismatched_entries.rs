//! Entries of different logs that do not fit together.
//!
//! In: all logs. Out: [`Caveat`]s, and runs left out because they name a lot or a run that nobody logged.
//! This module never judges a figure by itself, only entries against one another, and never guesses which name was meant.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use crate::campaign::{Campaign, FactorKind, FactorPlan, LOT, LogKind, are_spelt_alike, stem_of};
use crate::caveat::{Caveat, Doubt, LevelWritten, SameAsPlace, SpeltAlike};
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
        let residues = row.residue_from.iter().map(|from| ("residue", from));
        let liquors = row.liquor_from.iter().map(|from| ("liquor", from));
        for (what, from) in residues.chain(liquors) {
            let column = format!("{what}_from");
            if *from == row.run {
                let message = format!("run `{from}` in {} charges {what} of itself", row.place);
                let hint = format!("name the earlier runs that the {what} came from");
                let noun = format!("run that charges {what} of itself");
                fault(&column, other(&noun, from, message, hint));
            } else if !names.contains(from.as_str()) {
                let jars = match what {
                    "residue" => ", or jars of the residues log that held residue by then",
                    _ => "",
                };
                let hint = format!("name runs of the runs log{jars}, `;` between them");
                fault(
                    &column,
                    unknown(&format!("{what} of an unknown run"), from, &hint),
                );
            }
        }
    }
}

/// Doubts about levels of choices and lots that are spelt alike, in rows that are left out too.
pub fn levels_spelt_alike(campaign: &Campaign, logged: &Logged) -> Vec<Caveat> {
    let plans = campaign.factors.iter();
    let choices = plans.filter(|plan| matches!(plan.kind, FactorKind::Choice { .. }));
    let mut all: Vec<(&str, Option<&FactorPlan>)> = choices
        .map(|plan| (plan.name.as_str(), Some(plan)))
        .collect();
    if all.iter().all(|(name, _)| *name != LOT) {
        all.push((LOT, None));
    }
    let doubts = all.into_iter().filter_map(|(factor, plan)| {
        let rows = rows_by_level(logged, factor, plan);
        let mut groups = alike(rows.keys().copied().collect());
        for group in &mut groups {
            // The level that is declared stays, else the one that most rows have.
            let is_declared = |level: &str| plan.is_some_and(|plan| plan.declares(level));
            group.sort_by_key(|level| (!is_declared(level), Reverse(rows[level]), *level));
        }
        let written = |level: &&str| LevelWritten {
            level: level.to_string(),
            rows: rows[level],
        };
        let groups = groups
            .iter()
            .map(|group| group.iter().map(written).collect());
        let levels = SpeltAlike {
            factor: factor.to_string(),
            place: match plan {
                None => SameAsPlace::NewTable,
                Some(plan) if plan.same_as.is_empty() => SameAsPlace::NewKey,
                Some(_) => SameAsPlace::MoreSpellings,
            },
            groups: groups.collect(),
        };
        (!levels.groups.is_empty()).then(|| Caveat::of_campaign(Doubt::LevelsSpeltAlike(levels)))
    });
    doubts.collect()
}

/// In how many rows of the runs log each level stands; lots of the lots log are there without any.
fn rows_by_level<'l>(
    logged: &'l Logged,
    factor: &str,
    plan: Option<&FactorPlan>,
) -> BTreeMap<&'l str, usize> {
    let mut rows: BTreeMap<&str, usize> = BTreeMap::new();
    let column = plan.and_then(|plan| logged.runs.column(plan.column()));
    let texts = column.iter().flat_map(|column| column.texts());
    let is_lot = factor == LOT;
    let all = logged.runs.rows.iter().chain(&logged.planned.rows);
    let shares = all.flat_map(|row| &row.lots);
    let lots = shares.filter(|_| is_lot).map(|share| share.lot.as_str());
    for level in texts.chain(lots) {
        *rows.entry(level).or_default() += 1;
    }
    for lot in logged.lots.iter().filter(|_| is_lot) {
        rows.entry(&lot.lot).or_default();
    }
    rows
}

/// Levels that are spelt like another one, together with it.
fn alike(levels: Vec<&str>) -> Vec<Vec<&str>> {
    let mut by_stem: BTreeMap<String, Vec<Vec<&str>>> = BTreeMap::new();
    for level in levels {
        let groups = by_stem.entry(stem_of(level)).or_default();
        let is_alike = |group: &&mut Vec<&str>| are_spelt_alike(group[0], level);
        match groups.iter_mut().find(is_alike) {
            Some(group) => group.push(level),
            None => groups.push(vec![level]),
        }
    }
    let groups = by_stem.into_values().flatten();
    groups.filter(|group| group.len() > 1).collect()
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
