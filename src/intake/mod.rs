//! What was logged: every CSV log of a campaign, cell by cell.
//!
//! In: a checked campaign and the bytes of its logs. Out: [`Logged`], typed rows with their lines, and the
//! rows that could not be used with their reason.
//! This module never turns a reading into a yield and never lets a polars type out.

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
mod scan;
mod split_cells;
mod stock;
mod table;

pub use further_row::{BlankColumn, BlankRow, blank_row};
pub use logged::{
    CropRow, FlatCrop, Heating, HeatingCurve, LeftOut, LogFile, Logged, LoggedColumn, LoggedDate,
    LoggedNumber, LotRow, LotShare, ResidueRow, RunRow, RunsLog, TitrantRow, TitrantStrength,
    TitreOf, TitreRow, UnusableTitrant, UsedAs,
};

use crate::campaign::{Campaign, LogKind};
use crate::error::{Error, Faults};
use headings::Head;
use table::Table;

/// All that a look at the logs brought up.
#[derive(Debug, Clone, Default)]
pub struct Survey {
    /// What could be read.
    pub logged: Logged,
    /// Faults that stop the work.
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
    for kind in LogKind::ALL {
        let of_kind: Vec<&LogFile> = files.iter().filter(|file| file.kind == kind).collect();
        let mut tables: Vec<Table> = Vec::new();
        for file in &of_kind {
            match Table::read(campaign, file) {
                Ok(table) => tables.push(table),
                Err(faults) => stops.extend(faults.into_errors()),
            }
        }
        let heads: Vec<&Head> = tables.iter().flat_map(|table| &table.heads).collect();
        let of_design = heads.iter().filter(|head| head.holds.is_some());
        let of_design = of_design.map(|head| (kind, head.name.clone()));
        logged.columns.extend(of_design);
        // A heading may stand in the file that could not be read.
        let are_read = tables.len() == of_kind.len();
        let sought = match are_read && !of_kind.is_empty() {
            true => headings::unmatched(campaign, kind, &heads),
            false => Vec::new(),
        };
        for table in &tables {
            stops.extend(table.faults.iter().cloned());
            stops.extend(table.missing(&sought));
            logged.used_as.extend(table.used_as());
            let lacks = table.lacks.iter();
            logged
                .lacks
                .extend(lacks.map(|name| (kind, name.to_string())));
        }
        let of_own = sought
            .iter()
            .map(|own| headings::not_found(campaign, own, &heads));
        stops.extend(of_own);
        let lacks = sought.iter().map(|own| (kind, own.name.clone()));
        logged.lacks.extend(lacks);
        if of_kind.is_empty() {
            headings::report_without_log(campaign, kind, &mut stops);
        } else {
            logged.present.push(kind);
        }
        if !are_read || tables.iter().any(|table| !table.has_usable_rows()) {
            logged.incomplete.push(kind);
        }
        for table in &tables {
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
    if !logged.incomplete.contains(&LogKind::Runs) {
        across_logs::leave_out_unknown_runs(&mut logged);
    }
    across_logs::leave_out_charges_far_off(&mut logged);
    across_logs::forgive_gaps_of_runs_set_aside(&mut logged);
    Survey { logged, stops }
}
