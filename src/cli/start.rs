//! A new campaign folder to fill in.
//!
//! In: a folder, and which demo it should be like. Out: a commented campaign file and logs with their headings.
//! This module never writes over a campaign that is there.

use std::fs;
use std::path::Path;

use super::faults::unwritable;
use super::publish::Made;
use super::tell::{failed, print};
use super::{Ending, Like};

/// A file of a demo campaign, as it stands in the repository.
macro_rules! demo {
    ($path:literal) => {
        include_str!(concat!("../../data-demo/", $path))
    };
}

/// The logs of a demo campaign by their names.
const LOGS_OF_BLUESTONE: [(&str, &str); 6] = [
    ("runs.csv", demo!("bluestone/runs.csv")),
    ("lots.csv", demo!("bluestone/lots.csv")),
    ("crops.csv", demo!("bluestone/crops.csv")),
    ("titres.csv", demo!("bluestone/titres.csv")),
    ("titrants.csv", demo!("bluestone/titrants.csv")),
    ("residues.csv", demo!("bluestone/residues.csv")),
];

/// The log of the other demo campaign.
const LOGS_OF_IODATE: [(&str, &str); 1] = [("charges.csv", demo!("iodate/charges.csv"))];

/// The heading line of a demo log.
fn heading(log: &str) -> String {
    let line = log.trim_start_matches('\u{feff}').lines().next();
    format!("{}\n", line.unwrap_or_default().trim_end())
}

/// A demo campaign without its own remarks on the first lines.
fn without_opening(text: &str) -> String {
    let body = text
        .lines()
        .skip_while(|line| line.starts_with('#') || line.trim().is_empty());
    let opening = "# A campaign to fill in: change what differs, keep or delete the rest, then write rows into the logs.";
    [opening, ""]
        .into_iter()
        .chain(body)
        .map(|line| format!("{line}\n"))
        .collect()
}

/// The names of the files to write, each with its text.
fn files(like: Option<Like>) -> Vec<(&'static str, String)> {
    let (campaign, logs): (String, &[(&str, &str)]) = match like {
        None => (include_str!("start/campaign.toml").into(), &[]),
        Some(Like::Bluestone) => {
            // No furnace log is written, so its line waits behind a #.
            let text = demo!("bluestone/campaign.toml").replace("\nreadings = ", "\n# readings = ");
            (without_opening(&text), &LOGS_OF_BLUESTONE)
        }
        Some(Like::Iodate) => (
            without_opening(demo!("iodate/campaign.toml")),
            &LOGS_OF_IODATE,
        ),
    };
    let mut files = vec![("campaign.toml", campaign)];
    files.extend(logs.iter().map(|(name, log)| (*name, heading(log))));
    if like.is_none() {
        files.push(("runs.csv", include_str!("start/runs.csv").into()));
    }
    files
}

pub(super) fn start(folder: &Path, like: Option<Like>) -> Ending {
    let files = files(like);
    let paths = || files.iter().map(|(name, _)| folder.join(name));
    if let Some(taken) = paths().find(|path| path.exists()) {
        let what = format!("`{}` is there already", taken.display());
        let error = unwritable(what, "name a folder that does not hold a campaign");
        return failed(&error.into());
    }
    let names: String = paths()
        .map(|path| format!("{}\n", path.display()))
        .collect();
    let made = Made::below(folder);
    let mut texts = paths().zip(&files);
    let written = fs::create_dir_all(folder)
        .and_then(|()| texts.try_for_each(|(path, (_, text))| fs::write(path, text)))
        .map_err(|cause| {
            let what = format!("`{}` cannot be written: {cause}", folder.display());
            unwritable(what, "check that the folder may be written and has room")
        })
        .and_then(|()| print(&names));
    match written {
        Ok(()) => Ending::Done,
        Err(error) => {
            // What was begun is taken away again, so that nothing is half-written.
            for path in paths() {
                let _ = fs::remove_file(path);
            }
            made.take_away();
            failed(&error.into())
        }
    }
}
