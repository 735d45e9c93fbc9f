//! The tables of all campaigns in one place, for engines that query them at once.
//!
//! In: the reports of a round with tables as Parquet. Out: `collected/yields/campaign=NAME.parquet` and `collected/answers.parquet`.
//! This module never works out a figure, and never takes a table from a report that has none as Parquet.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

use residuum::error::Error;
use residuum::report::all_below;

use super::entry::{Entry, Standing};
use crate::cli::faults::not_written;
use crate::cli::publish::{one_part, publish_bytes};

/// Folder of these tables in the output folder.
pub(super) const COLLECTED: &str = "collected";

/// Column that says which campaign a row is of.
const CAMPAIGN: &str = "campaign";

/// Brings the collected tables up to date; a round in which nothing changed reads none.
///
/// # Errors
/// What writing says; a table that could not be written stays as it was.
pub(super) fn write(out: &Path, entries: &[Entry]) -> Result<(), Error> {
    let folder = out.join(COLLECTED);
    let yields = folder.join("yields");
    fs::create_dir_all(&yields).map_err(|error| not_written(&yields, &error))?;
    let with_reports = || entries.iter().filter(|entry| entry.report.is_some());
    let mut wanted = BTreeSet::new();
    let mut is_changed = !folder.join("answers.parquet").is_file();
    for entry in with_reports() {
        let name = &entry.campaign;
        let file = format!("{CAMPAIGN}={}.parquet", one_part(name));
        let is_new = entry.standing != Standing::Unchanged || !yields.join(&file).is_file();
        if is_new && let Some(own) = table(out, name, "yields") {
            publish_bytes(
                &yields,
                &file,
                &all_below(CAMPAIGN, &[(name.clone(), own)])?,
            )?;
            is_changed = true;
        }
        wanted.insert(file);
    }
    is_changed |= clear(&yields, &wanted);
    if is_changed {
        let answers = with_reports().filter_map(|entry| {
            let name = &entry.campaign;
            Some((name.clone(), table(out, name, "answers")?))
        });
        let answers: Vec<(String, Vec<u8>)> = answers.collect();
        publish_bytes(&folder, "answers.parquet", &all_below(CAMPAIGN, &answers)?)?;
    }
    Ok(())
}

/// A table of a report as Parquet.
fn table(out: &Path, name: &str, table: &str) -> Option<Vec<u8>> {
    fs::read(out.join(name).join(format!("tables/{table}.parquet"))).ok()
}

/// Takes away the tables of campaigns that have no report any more; whether there were any.
fn clear(folder: &Path, wanted: &BTreeSet<String>) -> bool {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let own = |name: &str| name.starts_with(CAMPAIGN) && name.ends_with(".parquet");
    let mut found = false;
    for entry in entries {
        let name = entry.file_name().to_string_lossy().into_owned();
        if own(&name) && !wanted.contains(&name) {
            found |= fs::remove_file(entry.path()).is_ok();
        }
    }
    found
}
