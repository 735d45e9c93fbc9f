//! What was logged: every CSV log of a campaign, cell by cell.
//!
//! In: a checked campaign and the bytes of its logs. Out: [`Logged`], typed rows with their lines, and the
//! rows that could not be used with their reason.
//! This module never turns a reading into a yield and never lets a polars type out.

mod assays;
mod blank;
mod bounds;
mod cells;
mod columns;
mod crops;
mod dates;
mod headings;
mod number;
mod readings;
mod rows;
mod runs_log;
mod scan;
mod stock;
mod table;
mod unknown_runs;

pub use blank::{BlankColumn, BlankRow, blank_row};
pub use crops::{CropRow, ResidueRow, TitreOf, TitreRow};
pub use readings::{Heating, HeatingCurve};
pub use rows::{LeftOut, LoggedDate, LoggedNumber};
pub use runs_log::{FlatCrop, LoggedColumn, LotShare, RunRow, RunsLog};
pub use stock::{LotRow, TitrantRow, TitrantStrength, UnusableTitrant};

use std::collections::BTreeSet;

use crate::campaign::{Campaign, LogKind};
use crate::error::{Error, ErrorKind, Faults};
use table::Table;

/// One log file: which log it is, what messages call it, and its bytes.
#[derive(Debug, Clone)]
pub struct LogFile {
    /// Which log.
    pub kind: LogKind,
    /// Name for messages, relative to the campaign file.
    pub file: String,
    /// The whole content.
    pub bytes: Vec<u8>,
}

/// Everything that was logged.
#[derive(Debug, Clone, Default)]
pub struct Logged {
    /// One entry a row of the runs log that could be read, in the order of the file.
    pub runs: RunsLog,
    /// Lots of feed.
    pub lots: Vec<LotRow>,
    /// Crops.
    pub crops: Vec<CropRow>,
    /// Titres.
    pub titres: Vec<TitreRow>,
    /// Titrants and standardisations.
    pub titrants: Vec<TitrantRow>,
    /// Rows of titrants whose strength could not be used.
    pub unusable_titrants: Vec<UnusableTitrant>,
    /// Residues taken out.
    pub residues: Vec<ResidueRow>,
    /// What the furnace readings of each run come to.
    pub heating: Vec<HeatingCurve>,
    /// Which logs there are.
    pub present: Vec<LogKind>,
    /// Rows that could not be used.
    pub left_out: Vec<LeftOut>,
}

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
    let mut mapped: Vec<usize> = Vec::new();
    for kind in LogKind::ALL {
        let of_kind: Vec<&LogFile> = files.iter().filter(|file| file.kind == kind).collect();
        let mut tables: Vec<Table> = Vec::new();
        for file in &of_kind {
            match Table::read(campaign, file) {
                Ok(table) => tables.push(table),
                Err(faults) => stops.extend(faults.into_errors()),
            }
        }
        mapped.extend(
            tables
                .iter()
                .flat_map(|table| table.mappings_used.iter().copied()),
        );
        if of_kind.is_empty() {
            headings::report_without_log(campaign, kind, &mut stops);
        } else {
            logged.present.push(kind);
            // A heading may stand in the file that could not be read.
            if tables.len() == of_kind.len() {
                headings::report_unmatched(campaign, kind, &mapped, &mut stops);
            }
        }
        for table in &tables {
            stops.extend(table.left_out_rows(&mut logged.left_out));
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
        unknown_runs::leave_out_unknown_runs(&mut logged);
        assays::leave_out_charges_far_off(&mut logged);
    }
    forgive_gaps_of_runs_set_aside(&mut logged);
    Survey { logged, stops }
}

/// A run that is set aside needs nothing but its name: an empty cell of it is no fault.
fn forgive_gaps_of_runs_set_aside(logged: &mut Logged) {
    let aside: BTreeSet<&str> = logged
        .runs
        .rows
        .iter()
        .filter(|row| row.set_aside.is_some())
        .map(|row| row.run.as_str())
        .collect();
    logged.left_out.retain(|entry| {
        let is_gap = entry.error.kind() == ErrorKind::Missing && !entry.on_purpose;
        !(is_gap && entry.run.as_deref().is_some_and(|run| aside.contains(run)))
    });
}
