//! Logs that were read side by side, put together.
//!
//! In: the rows of one log. Out: all logs.
//! This module never looks at a row.

use super::logged::Logged;

impl Logged {
    /// Takes the rows of one log that was read by itself.
    pub(super) fn take(&mut self, of_one: Logged) {
        let Logged {
            runs,
            liquor_as,
            lots,
            crops,
            titres,
            titrants,
            unusable_titrants,
            residues,
            heating,
            present,
            incomplete,
            columns,
            lacks,
            as_written,
            used_as,
            left_out,
            passed,
            planned: _,
            dates_tell_plans: _,
            superseded,
        } = of_one;
        // Plans are told from runs made when all logs are read.
        self.superseded.extend(superseded);
        if runs.lines > 0 {
            (self.runs, self.liquor_as) = (runs, liquor_as);
        }
        behind(&mut self.lots, lots);
        behind(&mut self.crops, crops);
        behind(&mut self.titres, titres);
        behind(&mut self.titrants, titrants);
        behind(&mut self.unusable_titrants, unusable_titrants);
        behind(&mut self.residues, residues);
        behind(&mut self.heating, heating);
        self.present.extend(present);
        self.incomplete.extend(incomplete);
        self.columns.extend(columns);
        self.lacks.extend(lacks);
        self.as_written.extend(as_written);
        self.used_as.extend(used_as);
        self.left_out.extend(left_out);
        self.passed.extend(passed);
    }
}

/// Puts rows behind others; where there are none yet, nothing is copied.
fn behind<T>(rows: &mut Vec<T>, of_one: Vec<T>) {
    match rows.is_empty() {
        true => *rows = of_one,
        false => rows.extend(of_one),
    }
}
