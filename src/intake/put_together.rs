//! Logs that were read side by side, put together.
//!
//! In: the rows of one log. Out: all logs.
//! This module never looks at a row.

use super::logged::Logged;

impl Logged {
    /// Takes the rows of one log that was read by itself, and what was found in them.
    pub(super) fn take(&mut self, of_one: Logged) {
        // Plans are told from runs made when all logs are read.
        if of_one.runs.lines > 0 {
            (self.runs, self.liquor_as) = (of_one.runs, of_one.liquor_as);
        }
        behind(&mut self.superseded, of_one.superseded);
        behind(&mut self.lots, of_one.lots);
        behind(&mut self.crops, of_one.crops);
        behind(&mut self.titres, of_one.titres);
        behind(&mut self.controls, of_one.controls);
        behind(&mut self.titrants, of_one.titrants);
        behind(&mut self.unusable_titrants, of_one.unusable_titrants);
        behind(&mut self.blanks, of_one.blanks);
        behind(&mut self.residues, of_one.residues);
        behind(&mut self.heating, of_one.heating);
        behind(&mut self.incomplete, of_one.incomplete);
        behind(&mut self.columns, of_one.columns);
        behind(&mut self.lacks, of_one.lacks);
        behind(&mut self.used_as, of_one.used_as);
        behind(&mut self.left_out, of_one.left_out);
        self.as_written.extend(of_one.as_written);
    }
}

/// Puts rows behind others; where there are none yet, nothing is copied.
fn behind<T>(rows: &mut Vec<T>, of_one: Vec<T>) {
    match rows.is_empty() {
        true => *rows = of_one,
        false => rows.extend(of_one),
    }
}
