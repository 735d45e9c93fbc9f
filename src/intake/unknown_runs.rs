//! Which rows are about runs that the runs log does not have?
//!
//! In: all logs. Out: rows left out, with their reason.
//! This module never adds a run.

use std::collections::BTreeSet;

use super::Logged;
use super::rows::LeftOut;
use crate::error::{Error, ErrorKind};

/// Lists crops, titres and residues of runs that the runs log does not have.
pub(super) fn leave_out_unknown_runs(logged: &mut Logged) {
    let known: BTreeSet<&str> = logged.runs.names.iter().map(String::as_str).collect();
    let mut unknown = Vec::new();
    let mut check = |file: &str, line: usize, run: &str, what: &str| {
        if !known.contains(run) {
            let error = Error::new(
                ErrorKind::UnknownName,
                format!("{what} of an unknown run in `{file}` line {line}: `{run}`"),
            )
            .at(file, line, "run");
            let error = error.hint("add the run to the runs log, or correct its name");
            unknown.push(LeftOut::of_run(run, error));
        }
    };
    for crop in &logged.crops {
        check(&crop.file, crop.line, &crop.run, "a crop");
    }
    for titre in &logged.titres {
        check(&titre.file, titre.line, &titre.run, "a titre");
    }
    for residue in &logged.residues {
        check(&residue.file, residue.line, &residue.run, "a residue");
    }
    for curve in &logged.heating {
        check(&curve.file, curve.line, &curve.run, "a reading");
    }
    logged.left_out.extend(unknown);
}
