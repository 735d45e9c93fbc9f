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
        self.lots.extend(lots);
        self.crops.extend(crops);
        self.titres.extend(titres);
        self.titrants.extend(titrants);
        self.unusable_titrants.extend(unusable_titrants);
        self.residues.extend(residues);
        self.heating.extend(heating);
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
