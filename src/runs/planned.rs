//! Settings of planned runs.
//!
//! In: campaign and logs. Out: [`PlannedRun`]s, and planned rows that are left out because an entry of them cannot be.
//! This module never works out a result: a planned run has none.

use super::columns::Material;
use super::factor_columns::FactorColumn;
use super::mismatched_entries::leave_out_unknown_names;
use super::results::{PlannedRun, PlannedValue, RunResult};
use crate::campaign::{Campaign, StandsFor};
use crate::intake::{LeftOut, Logged, LoggedNumber, RunRow};

/// Middle assay of the residues taken out [mass fraction], the lower of two in the middle; it counts for residue that nobody has
/// chosen yet.
pub fn usual_residue_assay(logged: &Logged) -> Option<f64> {
    let assays = logged.residues.iter();
    let assays = assays.filter_map(|row| Some(row.assay?.value));
    let mut assays: Vec<f64> = assays.collect();
    assays.sort_by(f64::total_cmp);
    assays.get(assays.len().saturating_sub(1) / 2).copied()
}

/// Planned runs with the settings that their rows give, in the order of the log, worked out as runs made are: `work_out` gives the
/// positions of runs with their results.
pub(super) fn settings_of_plans(
    campaign: &Campaign,
    logged: &Logged,
    work_out: impl Fn(&Logged, Vec<LeftOut>) -> (Vec<usize>, Vec<RunResult>),
) -> (Vec<PlannedRun>, Vec<LeftOut>) {
    if logged.planned.rows.is_empty() {
        return Default::default();
    }
    let joint = with_planned(logged);
    let made = logged.runs.rows.len();
    let is_planned = |entry: &LeftOut| {
        let mut rows = logged.planned.rows.iter();
        rows.any(|row| Some(&row.run) == entry.run.as_ref())
    };
    let mut left_out = Vec::new();
    leave_out_unknown_names(&joint, &mut left_out);
    left_out.retain(is_planned);
    let known = [logged.left_out.as_slice(), &left_out].concat();
    let (mut positions, mut results) = work_out(&joint, known);
    let mut places = positions.iter().map(|position| *position >= made);
    results.retain(|_| places.next().unwrap_or_default());
    positions.retain(|position| *position >= made);
    let material = Material {
        campaign,
        logged: &joint,
        positions: &positions,
        results: &results,
        second: &[],
    };
    // What stops the work is told where the columns of the runs made are built.
    let factors = material.factors(&mut Vec::new());
    let mut runs = Vec::new();
    for (number, position) in positions.iter().enumerate() {
        let row = &joint.runs.rows[*position];
        let is_out = |entry: &LeftOut| entry.run.as_ref() == Some(&row.run);
        if left_out.iter().any(is_out) {
            continue;
        }
        let value = |column: &FactorColumn| {
            let amount = column.amount(number).map(PlannedValue::Amount);
            let level = column.level(number);
            let value = amount.or_else(|| Some(PlannedValue::Level(level?.to_string())));
            let untold = is_residue(campaign, column) && may_be_any_residue(logged, row);
            (column.name.clone(), value.filter(|_| !untold))
        };
        runs.push(PlannedRun {
            place: row.place.clone(),
            run: row.run.clone(),
            settings: factors.iter().map(value).collect(),
        });
    }
    (runs, left_out)
}

/// The runs made and behind them the planned ones; residue that no planned row describes is of the usual assay.
fn with_planned(logged: &Logged) -> Logged {
    let mut joint = logged.clone();
    let usual = usual_residue_assay(logged).map(LoggedNumber::plain);
    joint
        .runs
        .rows
        .extend(logged.planned.rows.iter().map(|row| {
            let is_described = row.residue_assay.is_some() || !row.residue_from.is_empty();
            RunRow {
                residue_assay: row.residue_assay.or(usual.filter(|_| !is_described)),
                ..row.clone()
            }
        }));
    let columns = joint.runs.columns.iter_mut().zip(&logged.planned.columns);
    for (column, planned) in columns {
        column.cells.extend(planned.cells.iter().cloned());
    }
    joint
}

fn is_residue(campaign: &Campaign, column: &FactorColumn) -> bool {
    let plan = campaign.factor(&column.name);
    let stands_for = plan.and_then(|plan| plan.stands_for);
    stands_for == Some(StandsFor::Residue) || column.name == "residue_ratio"
}

/// Whether an empty cell of the residue charged says nothing, because runs without residue say `0`.
fn may_be_any_residue(logged: &Logged, row: &RunRow) -> bool {
    let mut rows = logged.runs.rows.iter();
    row.residue_mass.is_none()
        && rows.any(|row| row.residue_mass.is_some_and(|mass| mass.value == 0.0))
}
