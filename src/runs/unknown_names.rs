//! Which runs name a lot or a run that nobody logged?
//!
//! In: all logs. Out: runs left out, with their reason.
//! This module never guesses which name was meant: it only offers those that exist.

use std::collections::BTreeSet;

use crate::campaign::LOT;
use crate::error::{Error, ErrorKind};
use crate::intake::{LeftOut, Logged};

/// Lists runs whose lot or whose residue is of an unknown name.
pub(super) fn leave_out_unknown_names(logged: &Logged, left_out: &mut Vec<LeftOut>) {
    let names: BTreeSet<&str> = logged.runs.names.iter().map(String::as_str).collect();
    let lots_logged = logged.present.contains(&crate::campaign::LogKind::Lots);
    for row in &logged.runs.rows {
        let mut fault = |column: &str, what: String, hint: String| {
            left_out.push(LeftOut {
                file: row.file.clone(),
                line: row.line,
                run: Some(row.run.clone()),
                error: Error::new(ErrorKind::UnknownName, what)
                    .in_file(&row.file)
                    .on_line(row.line)
                    .in_column(column)
                    .hint(hint),
                on_purpose: false,
            });
        };
        for share in &row.lots {
            let lot = &share.lot;
            match logged.lots.iter().find(|known| known.lot == *lot) {
                None if lots_logged && row.feed_assay.is_none() => {
                    let known: Vec<&str> = logged.lots.iter().map(|l| l.lot.as_str()).collect();
                    fault(
                        LOT,
                        format!("unknown lot in `{}` line {}: `{lot}`", row.file, row.line),
                        format!("lots that are logged: {}", known.join(", ")),
                    );
                }
                Some(known) if known.assay.is_none() && row.feed_assay.is_none() => fault(
                    LOT,
                    format!(
                        "lot `{lot}` of run `{}` in `{}` line {} has no usable assay",
                        row.run, row.file, row.line
                    ),
                    format!("correct `{}` line {}", known.file, known.line),
                ),
                _ => {}
            }
        }
        for from in &row.residue_from {
            if *from == row.run {
                fault(
                    "residue_from",
                    format!(
                        "run `{from}` in `{}` line {} charges residue of itself",
                        row.file, row.line
                    ),
                    "name the earlier runs that the residue came from".into(),
                );
            } else if !names.contains(from.as_str()) {
                fault(
                    "residue_from",
                    format!(
                        "residue of an unknown run in `{}` line {}: `{from}`",
                        row.file, row.line
                    ),
                    "name runs of the runs log, `;` between them".into(),
                );
            }
        }
    }
}
