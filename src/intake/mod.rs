//! What was logged: every CSV log of a campaign, cell by cell.
//!
//! In: a checked campaign and the bytes of its logs. Out: [`Logged`], typed rows with their lines, and the
//! rows that could not be used with their reason.
//! This module never turns a reading into a yield.

mod across_logs;
mod appended;
mod cell_values;
mod cell_words;
mod columns;
mod crop_row;
mod crops;
mod date_forms;
mod dates;
mod further_row;
mod heading_units;
mod headings;
mod jars;
mod ledger;
mod liquor_formula;
mod logged;
mod marks;
mod not_used;
mod number;
mod one_cell;
pub mod outline;
mod planned;
mod plus_minus;
mod put_together;
mod readings;
mod residue_row;
mod rows;
mod run_row;
mod runs_log;
mod seen_columns;
mod stock;
mod strength;
mod table;
mod table_at;
mod titre_row;
mod versions;
mod weighings;
mod written;

#[cfg(test)]
mod tests_of_versions;

pub use appended::with_rows;
pub use cell_values::{LoggedDate, LoggedNumber};
pub use columns::{COLUMNS, DesignColumn, Holds};
pub use crop_row::{CropRow, Weighings};
pub use further_row::{BlankColumn, BlankRow, blank_row};
pub use ledger::{LedgerLine, charged, ledger};
pub use logged::{
    FlatCrop, FurtherAssay, Heating, HeatingCurve, Logged, LoggedColumn, LotPrice, LotRow,
    LotShare, RunRow, RunsLog, TitrantRow, TitrantStrength, UnusableTitrant,
};
pub use not_used::{LeftOut, LogFile, PassedIn, Superseded, UsedAs};
pub use one_cell::{date_in, number_in};
pub use residue_row::ResidueRow;
pub use seen_columns::{Role, SeenColumn, seen_columns};
pub use titre_row::{BlankTitre, FurtherOfTitre, TitreOf, TitreRow};

use crate::at_once::on_all_cores;
use crate::campaign::{Campaign, ColumnMapping, LogKind};
use crate::error::{Error, Faults};
use dates::Orders;
use headings::Head;
use table::Table;
use versions::Versions;

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
    let mut in_order: Vec<&LogFile> = files.iter().collect();
    in_order.sort_by_key(|file| file.kind);
    let read = on_all_cores(in_order.clone(), |file| Table::read(campaign, file));
    let (mut all, mut unread): (Vec<Table>, Vec<(LogKind, Faults)>) = Default::default();
    for (file, read) in in_order.iter().zip(read) {
        match read {
            Ok(table) => all.push(table),
            Err(faults) => unread.push((file.kind, faults)),
        }
    }
    let written = all.iter_mut().map(|table| &mut table.written);
    Orders::agree(written.flat_map(|written| &mut written.orders));
    let heads = || all.iter().flat_map(|table| &table.heads);
    if unread.is_empty() {
        headings::report_as_above(campaign, heads(), &mut stops);
    }
    // A table may be several logs.
    for passed in all.iter().map(|table| table.passed_in(&all)) {
        if !logged.passed.contains(&passed) {
            logged.passed.push(passed);
        }
    }
    let mut of_kinds: Vec<(LogKind, Vec<Table>)> = Vec::new();
    for table in all {
        match of_kinds.last_mut() {
            Some((kind, tables)) if *kind == table.kind => tables.push(table),
            _ => of_kinds.push((table.kind, vec![table])),
        }
    }
    let are_read = |kind: LogKind| unread.iter().all(|(of, _)| *of != kind);
    let rows = on_all_cores(of_kinds, |(kind, tables)| {
        let (mut logged, mut stops) = (Logged::default(), Vec::new());
        // A heading may stand in the file that could not be read.
        look_at_headings(campaign, &tables, are_read(kind), &mut logged, &mut stops);
        rows(campaign, kind, &tables, &mut logged, &mut stops);
        (kind, logged, stops)
    });
    let mut rows = rows.into_iter().peekable();
    for kind in LogKind::ALL {
        if !files.iter().any(|file| file.kind == kind) {
            headings::report_without_log(campaign, kind, &mut stops);
            continue;
        }
        logged.present.push(kind);
        if !are_read(kind) {
            logged.incomplete.push(kind);
        }
        for (_, faults) in unread.iter().filter(|(of, _)| *of == kind) {
            stops.extend_from_slice(faults.errors());
        }
        if let Some((_, of_kind, faults)) = rows.next_if(|(of, ..)| *of == kind) {
            logged.take(of_kind);
            stops.extend(faults);
        }
    }
    planned::set_apart(&mut logged);
    if !logged.incomplete.contains(&LogKind::Runs) {
        across_logs::leave_out_unknown_runs(&mut logged);
    }
    across_logs::leave_out_charges_far_off(&mut logged);
    across_logs::forgive_gaps_of_runs_set_aside(&mut logged);
    jars::open(&mut logged, &mut stops);
    if stops.is_empty() {
        stops.extend(crops::impurities_nowhere(campaign, &logged));
    }
    Survey { logged, stops }
}

/// What the headings of all files of one log say, and what they lack: its own headings are sought where all files `are_read`.
fn look_at_headings(
    campaign: &Campaign,
    tables: &[Table],
    are_read: bool,
    logged: &mut Logged,
    stops: &mut Vec<Error>,
) {
    let Some(kind) = tables.first().map(|table| table.kind) else {
        return;
    };
    let heads: Vec<&Head> = tables.iter().flat_map(|table| &table.heads).collect();
    let of_design = heads.iter().filter(|head| head.holds.is_some());
    let of_design = of_design.map(|head| (kind, head.name.clone()));
    logged.columns.extend(of_design);
    let sought = match are_read {
        true => headings::unmatched(campaign, kind, &heads),
        false => Vec::new(),
    };
    for table in tables {
        stops.extend(table.faults.iter().cloned());
        stops.extend(table.missing(&sought));
        logged.used_as.extend(table.used_as());
        let lacks = table.lacks.iter().map(|name| name.to_string());
        logged.lacks.extend(lacks.map(|name| (kind, name)));
    }
    let not_found = |own: &&ColumnMapping| headings::not_found(campaign, own, &heads);
    stops.extend(sought.iter().map(not_found));
    let lacks = sought.iter().map(|own| (kind, own.name.clone()));
    logged.lacks.extend(lacks);
    if tables.iter().any(|table| !table.has_usable_rows()) {
        logged.incomplete.push(kind);
    }
}

/// The rows of all files of one log, and the faults that stop the work.
fn rows(
    campaign: &Campaign,
    kind: LogKind,
    tables: &[Table],
    logged: &mut Logged,
    stops: &mut Vec<Error>,
) {
    if kind == LogKind::Runs {
        logged.liquor_as = liquor_formula::stated_as(campaign, tables, stops);
    }
    let versions = match kind {
        LogKind::Runs => versions::settle(tables, logged, stops),
        _ => Versions::default(),
    };
    for table in tables {
        table.leave_out_ragged_rows(&mut logged.left_out, stops);
        match kind {
            LogKind::Runs => {
                runs_log::read(campaign, table, &versions, logged, stops);
            }
            LogKind::Lots => stock::read_lots(campaign, table, logged, stops),
            LogKind::Titrants => stock::read_titrants(campaign, table, logged),
            LogKind::Blanks => stock::read_blanks(table, logged),
            LogKind::Crops => crops::read_crops(campaign, table, logged, stops),
            LogKind::Titres => crops::read_titres(campaign, table, logged, stops),
            LogKind::Residues => crops::read_residues(campaign, table, logged),
            LogKind::Readings => readings::read(campaign, table, logged),
        }
    }
}
