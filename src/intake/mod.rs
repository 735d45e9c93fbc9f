//! What was logged: every CSV log of a campaign, cell by cell.
//!
//! In: a checked campaign and the bytes of its logs. Out: [`Logged`], typed rows with their lines, and the
//! rows that could not be used with their reason.
//! This module never turns a reading into a yield and never lets a polars type out.

mod cells;
mod columns;
mod crops;
mod headings;
mod number;
mod readings;
mod rows;
mod runs_log;
mod scan;
mod stock;
mod table;
mod unknown_runs;

pub use crops::{CropRow, ResidueRow, TitreOf, TitreRow};
pub use readings::{Heating, HeatingCurve};
pub use rows::{LeftOut, LoggedDate, LoggedNumber};
pub use runs_log::{FlatCrop, LoggedColumn, LotShare, RunRow, RunsLog};
pub use stock::{LotRow, TitrantRow, TitrantStrength};

use crate::campaign::{Campaign, LogKind};
use crate::error::{Error, Faults};
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
    /// Residues taken out.
    pub residues: Vec<ResidueRow>,
    /// What the furnace readings of each run come to.
    pub heating: Vec<HeatingCurve>,
    /// Which logs there are.
    pub present: Vec<LogKind>,
    /// Rows that could not be used.
    pub left_out: Vec<LeftOut>,
}

/// Reads all logs.
///
/// # Errors
/// Every fault that stops the work: an empty or unreadable log, a missing column, a duplicated run.
pub fn read(campaign: &Campaign, files: &[LogFile]) -> Result<Logged, Faults> {
    let mut stops: Vec<Error> = Vec::new();
    let mut logged = Logged::default();
    let mut mapped: Vec<usize> = Vec::new();
    for kind in LogKind::ALL {
        let mut tables: Vec<Table> = Vec::new();
        for file in files.iter().filter(|file| file.kind == kind) {
            match Table::read(campaign, file) {
                Ok(table) => tables.push(table),
                Err(faults) => stops.extend(faults.into_errors()),
            }
        }
        if files.iter().any(|file| file.kind == kind) {
            logged.present.push(kind);
            mapped.extend(
                tables
                    .iter()
                    .flat_map(|table| table.mappings_used.iter().copied()),
            );
            let some_unread = tables.is_empty();
            if !some_unread {
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
    }
    Faults::or(stops, logged)
}
