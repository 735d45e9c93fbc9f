//! What else is wrong with a campaign that something stops: every fault that does not only follow from another.
//!
//! In: a campaign as far as it could be read, and what a look at its logs brought up. Out: [`Behind`].
//! This module never works with runs beyond their faults: a result of logs that are not whole would be wrong.

use crate::campaign::{Campaign, LogKind};
use crate::caveat::Caveat;
use crate::entries;
use crate::error::{Error, ErrorKind};
use crate::intake::{LeftOut, Logged, Survey};
use crate::runs;

/// What could not be read and is told by somebody else.
#[derive(Debug, Clone, Default)]
pub struct Lost {
    /// Whether headings of the user's own may be missing from the campaign file.
    pub headings: bool,
    /// Whether it may be missing there which logs there are, and how they are written.
    pub logs: bool,
    /// Logs of which a file could not be opened.
    pub files: Vec<LogKind>,
}

/// What else is wrong.
#[derive(Debug, Clone, Default)]
pub struct Behind {
    /// Faults that stop the work.
    pub stops: Vec<Error>,
    /// Rows that could not be used.
    pub left_out: Vec<LeftOut>,
    /// Doubts that hold whatever stops the work.
    pub caveats: Vec<Caveat>,
}

/// Tells all faults of a campaign that something stops.
pub fn behind_stops(campaign: &Campaign, survey: Survey, lost: &Lost) -> Behind {
    let Survey {
        mut logged,
        mut stops,
    } = survey;
    if lost.headings || lost.logs {
        stops.retain(|stop| stop.kind() != ErrorKind::MissingColumn);
    }
    if lost.logs {
        // Without its separator and decimal mark no cell of a log can be told from others.
        let is_of_signs = |error: &Error| {
            let kinds = [
                ErrorKind::BadRow,
                ErrorKind::NotANumber,
                ErrorKind::OutOfRange,
            ];
            kinds.contains(&error.kind())
        };
        stops.retain(|stop| !is_of_signs(stop));
        logged.left_out.retain(|entry| !is_of_signs(&entry.error));
        let named = |kind: &LogKind| campaign.logs.files.iter().any(|log| log.kind == *kind);
        let unnamed = LogKind::ALL.into_iter().filter(|kind| !named(kind));
        logged.incomplete.extend(unnamed);
    }
    logged.incomplete.extend(&lost.files);
    if logged.incomplete.contains(&LogKind::Runs) {
        return Behind {
            stops,
            left_out: logged.left_out,
            caveats: Vec::new(),
        };
    }
    let caveats = runs::levels_spelt_alike(campaign, &logged);
    leave_out_incomplete(&mut logged);
    if logged.incomplete.is_empty() && logged.lacks.is_empty() {
        entries::leave_out_gaps(campaign, &mut logged);
    }
    let left_out = match runs::normalise(campaign, &logged) {
        Ok(runs) => runs.left_out,
        Err(stopped) => {
            let faults = stopped.faults.into_errors().into_iter();
            stops.extend(faults.filter(|fault| {
                // That no run is left is no wonder here.
                fault.kind() != ErrorKind::Empty && !only_follows(fault)
            }));
            stopped.left_out
        }
    };
    Behind {
        stops,
        left_out,
        caveats,
    }
}

/// Whether a fault holds only because some runs are left out.
pub fn only_follows(fault: &Error) -> bool {
    fault.kind() == ErrorKind::LeftOut
}

/// Leaves out logs that are not whole, so that nothing is concluded from what they lack.
fn leave_out_incomplete(logged: &mut Logged) {
    let is_whole = |kind: LogKind| !logged.incomplete.contains(&kind);
    if !is_whole(LogKind::Lots) {
        logged.lots.clear();
    }
    if !is_whole(LogKind::Crops) {
        logged.crops.clear();
    }
    // A titre says nothing without the strength of its titrant, nor without the blank that it names.
    let of_titres = [LogKind::Titres, LogKind::Titrants, LogKind::Blanks];
    if !of_titres.into_iter().all(is_whole) {
        logged.titres.clear();
    }
    if !is_whole(LogKind::Residues) {
        logged.residues.clear();
    }
    if !is_whole(LogKind::Readings) {
        logged.heating.clear();
    }
    let Logged {
        incomplete,
        present,
        ..
    } = logged;
    present.retain(|kind| !incomplete.contains(kind));
}
