//! Which campaign a report is of, and whether its files stayed as they were.
//!
//! In: paths of the campaign file and of the report, what was loaded. Out: a name, a source that is the same in every copy of a tree,
//! a fault where files changed.
//! This module never writes a path of the machine: what two trees do not share is kept as a digest.

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::fs;
use std::path::{Component, Path, PathBuf};

use residuum::error::{Error, Faults};
use residuum::report::sha256;

use super::Common;
use super::faults::{unreadable, unwritable};
use super::load::Loaded;

/// The name of a report: that of the folder that holds the campaign file.
///
/// # Errors
/// A name that is not UTF-8, which no page could show.
pub(super) fn report_name(campaign: &Path) -> Result<String, Error> {
    let file = real(campaign);
    let own = OsStr::new("campaign");
    let folder = file.parent().and_then(Path::file_name).unwrap_or(own);
    let is_shown = |name: &OsStr| name.to_str().map(str::to_string);
    let of_file = is_shown(file.file_name().unwrap_or_default());
    match (is_shown(folder), of_file) {
        (Some(folder), Some(_)) => Ok(folder),
        (None, _) => Err(unwritable(
            "the name of the folder is not UTF-8".into(),
            "give the folder another name",
        )),
        (_, None) => Err(unwritable(
            "the name of the campaign file is not UTF-8".into(),
            "give the file another name",
        )),
    }
}

/// The campaign file as a report names it: by its path from the folder of the report where both lie below one folder, so that a copy
/// of that folder says the same; elsewhere by the digest of its path.
pub(super) fn source(report: &Path, campaign: &Path) -> String {
    let [report, campaign] = [report, campaign].map(real);
    relative(&report, &campaign).unwrap_or_else(|| {
        let digest = sha256(campaign.as_os_str().as_encoded_bytes());
        format!("sha256:{digest}")
    })
}

fn relative(from: &Path, to: &Path) -> Option<String> {
    let shared = from.components().zip(to.components());
    let shared = shared.take_while(|(a, b)| a == b);
    let is_shared = shared
        .clone()
        .any(|(part, _)| matches!(part, Component::Normal(_)));
    let shared = shared.count();
    let up = from.components().skip(shared).map(|_| Some(".."));
    let down = to.components().skip(shared);
    let parts = up.chain(down.map(|part| part.as_os_str().to_str()));
    let parts: Option<Vec<&str>> = parts.collect();
    parts.filter(|_| is_shared).map(|parts| parts.join("/"))
}

/// A path without links; what is not there yet stays as it is called.
fn real(path: &Path) -> PathBuf {
    let path = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    match (fs::canonicalize(&path), path.parent(), path.file_name()) {
        (Ok(real), _, _) => real,
        (Err(_), Some(parent), Some(name)) => real(parent).join(name),
        (Err(_), _, _) => path,
    }
}

/// The digest of each file of a campaign by its name; what could not be read stands there too.
pub(super) fn contents(loaded: &Loaded) -> BTreeMap<String, String> {
    let logs = loaded.files.iter();
    let logs = logs.map(|log| (log.file.clone(), sha256(&log.bytes)));
    let unread = loaded.unread.iter();
    let unread = unread.map(|error| (error.message().to_string(), String::new()));
    let own = (loaded.campaign.file.clone(), sha256(&loaded.bytes));
    logs.chain(unread).chain([own]).collect()
}

/// Asks that the files of a campaign hold what they held when they were read.
///
/// # Errors
/// The first file that does not, or that they cannot be read any more.
pub(super) fn unchanged(common: &Common, before: &BTreeMap<String, String>) -> Result<(), Faults> {
    let now = contents(&common.load()?);
    let changed = before
        .iter()
        .chain(&now)
        .find(|(name, _)| before.get(*name) != now.get(*name));
    match changed {
        None => Ok(()),
        Some((name, _)) => {
            let what = format!("`{name}` changed while the report was worked out");
            let hint = "ask again when nobody writes to it; `rounds` takes such a campaign again by itself";
            Err(unreadable(what, hint).in_file(name).into())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_copy_of_a_tree_has_the_same_source() {
        let of = |report: &str, campaign: &str| relative(Path::new(report), Path::new(campaign));
        let source = of("/x/lab/reports/kiln", "/x/lab/logs/kiln/campaign.toml");
        assert_eq!(source, of("/y/reports/kiln", "/y/logs/kiln/campaign.toml"));
        assert_eq!(source.as_deref(), Some("../../logs/kiln/campaign.toml"));
    }

    #[test]
    fn no_path_of_the_machine_is_told_where_two_trees_share_nothing() {
        let source = source(
            Path::new("/no-such-a/kiln"),
            Path::new("/no-such-b/kiln/c.toml"),
        );
        assert!(
            source.starts_with("sha256:") && source.len() == 71,
            "{source}"
        );
    }
}
