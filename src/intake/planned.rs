//! Planned runs: rows with settings, without a date and without a result.
//!
//! In: rows of the runs log, and what all logs say of their runs. Out: planned rows apart from those of runs made.
//! This module never takes a row for a plan that has a date, or a result in any log.

use std::collections::{BTreeMap, BTreeSet};

use super::columns::flat;
use super::logged::{Logged, LoggedColumn, RunRow, RunsLog};
use super::rows::RowReader;
use crate::campaign::{Campaign, LogKind};
use crate::error::Place;

/// Columns of what is charged.
const CHARGES: [&str; 3] = ["feed_mass", "oxidant_mass", "residue_mass"];

/// Columns of what is known of a run when it is made, and of the decision to do without it.
const RESULTS: [&str; 6] = [
    "date",
    "labour",
    "liquor_volume",
    "liquor_conc",
    "purity",
    "set_aside",
];

/// Whether a row says what is to be done and nothing of what came of it, as far as its own cells tell.
///
/// Where nothing can be a result, because there is neither chemistry nor a response, no row is open.
pub(super) fn is_open(campaign: &Campaign, reader: &RowReader) -> bool {
    let is_filled = |name: &str| reader.cell(name).is_some();
    let factors = campaign.factors.iter();
    let factors = factors.map(|plan| plan.column.as_deref().unwrap_or(&plan.name));
    let settings: Vec<&str> = factors.chain(CHARGES).collect();
    let responses = campaign.responses.iter();
    let responses = responses.map(|response| response.column.as_str());
    let is_result = |name: &str| !settings.contains(&name) && is_filled(name);
    let has_crop = || {
        let mut heads = reader.table.heads.iter();
        heads.any(|head| flat(&head.name).is_some() && is_filled(&head.name))
    };
    (campaign.chemistry.is_some() || !campaign.responses.is_empty())
        && !RESULTS.into_iter().chain(responses).any(is_result)
        && settings.iter().any(|name| is_filled(name))
        && !has_crop()
}

/// Takes planned rows out of the runs log; that a charge is missing in them is no fault.
pub(super) fn set_apart(logged: &mut Logged) {
    let rows = &logged.runs.rows;
    if !rows.iter().any(|row| row.is_open) {
        return;
    }
    let of_crops = logged.crops.iter().map(|row| &row.run);
    let of_titres = logged.titres.iter().map(|row| &row.run);
    let of_residues = logged.residues.iter().map(|row| &row.run);
    let of_readings = logged.heating.iter().map(|row| &row.run);
    let with_results: BTreeSet<&String> = of_crops
        .chain(of_titres)
        .chain(of_residues)
        .chain(of_readings)
        .collect();
    let mut faults: BTreeMap<&str, Vec<&Place>> = BTreeMap::new();
    for entry in &logged.left_out {
        let run = entry.run.as_deref().unwrap_or_default();
        faults.entry(run).or_default().push(&entry.place);
    }
    let standing = |row: &RunRow| {
        let faults = faults.get(row.run.as_str());
        let mut places = faults.into_iter().flatten();
        // A row of another log that could not be read is a result all the same.
        let has_result = with_results.contains(&row.run)
            || places.clone().any(|place| **place != row.place);
        match (row.is_open, has_result) {
            (true, false) => Standing::Planned,
            (true, true) if places.any(|place| *place == &row.place) => Standing::LeftOut,
            _ => Standing::Made,
        }
    };
    let standings: Vec<Standing> = rows.iter().map(standing).collect();
    let are = |standing: Standing| standings.iter().map(move |known| *known == standing);
    let pick = |rows: &[RunRow], standing| picked(rows, are(standing));
    let planned = pick(rows, Standing::Planned);
    let made = pick(rows, Standing::Made);
    let key = |place: &Place| (place.file.clone(), place.line);
    let places: BTreeSet<_> = planned.iter().map(|row| key(&row.place)).collect();
    logged
        .left_out
        .retain(|entry| !places.contains(&key(&entry.place)));
    let mut columns = Vec::new();
    for column in &mut logged.runs.columns {
        let cells = picked(&column.cells, are(Standing::Planned));
        let made = picked(&column.cells, are(Standing::Made));
        // A level that is planned is known, as one is of a row that is left out.
        let cells_before = std::mem::replace(&mut column.cells, made);
        let others = cells_before.into_iter().zip(&standings);
        let others = others.filter(|(_, standing)| **standing != Standing::Made);
        column.left_out.extend(others.filter_map(|(cell, _)| cell));
        columns.push(LoggedColumn {
            cells,
            left_out: BTreeSet::new(),
            ..column.clone()
        });
    }
    let dated = (LogKind::Runs, "date".to_string());
    logged.dates_tell_plans =
        logged.columns.contains(&dated) && made.iter().all(|row| row.date.is_some());
    logged.runs.rows = made;
    logged.planned = RunsLog {
        names: planned.iter().map(|row| row.run.clone()).collect(),
        lines: planned.len(),
        rows: planned,
        columns,
    };
}

/// What a row of the runs log is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Standing {
    Made,
    Planned,
    LeftOut,
}

fn picked<T: Clone>(all: &[T], are: impl Iterator<Item = bool>) -> Vec<T> {
    let all = all.iter().zip(are).filter(|(_, is)| *is);
    all.map(|(item, _)| item.clone()).collect()
}
