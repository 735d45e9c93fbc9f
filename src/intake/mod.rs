//! What was logged: every CSV log of a campaign, cell by cell.
//!
//! In: a checked campaign and the bytes of its logs. Out: [`Logged`], typed rows with their lines, and the
//! rows that could not be used with their reason.
//! This module never turns a reading into a yield.

mod across_logs;
mod cell_words;
mod columns;
mod crops;
mod dates;
mod further_row;
mod headings;
mod logged;
mod number;
mod readings;
mod rows;
mod runs_log;
mod stock;
mod table;

pub use further_row::{BlankColumn, BlankRow, blank_row};
pub use logged::{
    CropRow, FlatCrop, Heating, HeatingCurve, LeftOut, LogFile, Logged, LoggedColumn, LoggedDate,
    LoggedNumber, LotRow, LotShare, PassedIn, ResidueRow, RunRow, RunsLog, TitrantRow, TitrantStrength,
    TitreOf, TitreRow, UnusableTitrant,
};

use crate::campaign::{Campaign, LogKind};
use crate::error::{Error, Faults};
use table::Table;

/// All that a look at the logs brought up.
#[derive(Debug, Clone, Default)]
pub struct Survey {
    /// What could be read.
    pub logged: Logged,
    /// Faults that stop the work; with any of them, `logged` is good for nothing but its left-out rows.
    pub stops: Vec<Error>,
}

/// Reads all logs.
///
/// # Errors
/// Every fault that stops the work: an empty or unreadable log, a missing column, a duplicated run.
pub fn read(campaign: &Campaign, files: &[LogFile]) -> Result<Logged, Faults> {
    let survey = survey(campaign, files);
    Faults::or(survey.stops, survey.logged)
}

/// Reads all logs and tells everything that is wrong with them, whatever stops the work.
pub fn survey(campaign: &Campaign, files: &[LogFile]) -> Survey {
    let mut stops: Vec<Error> = Vec::new();
    let mut logged = Logged::default();
    let mut in_order: Vec<&LogFile> = files.iter().collect();
    in_order.sort_by_key(|file| file.kind);
    let mut all: Vec<Table> = Vec::new();
    let mut unread: Vec<(LogKind, Faults)> = Vec::new();
    for file in in_order {
        match Table::read(campaign, file) {
            Ok(table) => all.push(table),
            Err(faults) => unread.push((file.kind, faults)),
        }
    }
    let heads = || all.iter().flat_map(|table| &table.heads);
    let mapped: Vec<usize> = heads().filter_map(|head| head.mapping).collect();
    if unread.is_empty() {
        headings::report_as_above(campaign, heads(), &mut stops);
    }
    for kind in LogKind::ALL {
        if !files.iter().any(|file| file.kind == kind) {
            headings::report_without_log(campaign, kind, &mut stops);
            continue;
        }
        logged.present.push(kind);
        let faults = unread.iter().filter(|(of, _)| *of == kind);
        let faults: Vec<&Faults> = faults.map(|(_, faults)| faults).collect();
        // A heading may stand in the file that could not be read.
        if faults.is_empty() {
            headings::report_unmatched(campaign, kind, &mapped, &mut stops);
        }
        for faults in faults {
            stops.extend_from_slice(faults.errors());
        }
        for table in all.iter().filter(|table| table.kind == kind) {
            let heads = table.heads.iter().filter(|head| head.holds.is_some());
            let of_design = heads.map(|head| (kind, head.name.clone()));
            logged.columns.extend(of_design);
            logged.passed.push(table.passed_in(&all));
            table.leave_out_ragged_rows(&mut logged.left_out, &mut stops);
            match kind {
                LogKind::Runs => runs_log::read(campaign, table, &mut logged, &mut stops),
                LogKind::Lots => stock::read_lots(campaign, table, &mut logged, &mut stops),
                LogKind::Titrants => stock::read_titrants(table, &mut logged),
                LogKind::Crops => crops::read_crops(table, &mut logged),
                LogKind::Titres => crops::read_titres(table, &mut logged),
                LogKind::Residues => crops::read_residues(table, &mut logged),
                LogKind::Readings => readings::read(campaign, table, &mut logged),
            }
        }
    }
    if stops.is_empty() {
        across_logs::leave_out_unknown_runs(&mut logged);
        across_logs::leave_out_charges_far_off(&mut logged);
    }
    across_logs::forgive_gaps_of_runs_set_aside(&mut logged);
    Survey { logged, stops }
}
