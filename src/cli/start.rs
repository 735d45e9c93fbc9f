//! A new campaign folder to fill in.
//!
//! In: a folder, and which demo it should be like. Out: a commented campaign file and logs with their headings.
//! This module never writes over a campaign that is there.

use std::fs;
use std::path::Path;

use residuum::error::{Error, ErrorKind};

use super::publish::Made;
use super::tell::{failed, print};
use super::{Ending, Like};

struct NewFile {
    name: &'static str,
    text: String,
}

/// The heading line of a demo log.
fn heading(log: &str) -> String {
    let line = log
        .trim_start_matches('\u{feff}')
        .lines()
        .next()
        .unwrap_or_default();
    format!("{}\n", line.trim_end())
}

/// A demo campaign without its own remarks on the first lines.
fn without_opening(text: &str) -> String {
    let body = text
        .lines()
        .skip_while(|line| line.starts_with('#') || line.trim().is_empty());
    let mut all = "# A campaign to fill in: change what differs, keep or delete the rest, then write rows into the logs.\n\n".to_string();
    for line in body {
        all.push_str(line);
        all.push('\n');
    }
    all
}

/// A file of a demo campaign, as it stands in the repository.
macro_rules! demo {
    ($folder:literal, $name:literal) => {
        include_str!(concat!("../../data-demo/", $folder, $name))
    };
}

/// The headings of a demo log under the same name.
macro_rules! headings_of {
    ($folder:literal, $($name:literal),+) => {
        vec![$(NewFile {
            name: $name,
            text: heading(demo!($folder, $name)),
        }),+]
    };
}

fn files(like: Option<Like>) -> Vec<NewFile> {
    let (campaign, logs) = match like {
        None => (
            include_str!("start/campaign.toml").to_string(),
            vec![NewFile {
                name: "runs.csv",
                text: include_str!("start/runs.csv").into(),
            }],
        ),
        Some(Like::Bluestone) => (
            // No furnace log is written, so its line waits behind a #.
            without_opening(demo!("bluestone/", "campaign.toml"))
                .replace("\nreadings = ", "\n# readings = "),
            headings_of!(
                "bluestone/",
                "runs.csv",
                "lots.csv",
                "crops.csv",
                "titres.csv",
                "titrants.csv",
                "residues.csv"
            ),
        ),
        Some(Like::Iodate) => (
            without_opening(demo!("iodate/", "campaign.toml")),
            headings_of!("iodate/", "charges.csv"),
        ),
    };
    let mut files = vec![NewFile {
        name: "campaign.toml",
        text: campaign,
    }];
    files.extend(logs);
    files
}

pub(super) fn start(folder: &Path, like: Option<Like>) -> Ending {
    let files = files(like);
    if let Some(taken) = files.iter().find(|file| folder.join(file.name).exists()) {
        let error = Error::new(
            ErrorKind::Unwritable,
            format!("`{}` is there already", folder.join(taken.name).display()),
        )
        .hint("name a folder that does not hold a campaign");
        return failed(&error.into());
    }
    let names: String = files
        .iter()
        .map(|file| format!("{}\n", folder.join(file.name).display()))
        .collect();
    let made = Made::below(folder);
    let written = fs::create_dir_all(folder)
        .and_then(|()| {
            files
                .iter()
                .try_for_each(|file| fs::write(folder.join(file.name), &file.text))
        })
        .map_err(|cause| {
            Error::new(
                ErrorKind::Unwritable,
                format!("`{}` cannot be written: {cause}", folder.display()),
            )
            .hint("check that the folder may be written and has room")
        })
        .and_then(|()| print(&names));
    match written {
        Ok(()) => Ending::Done,
        Err(error) => {
            // What was begun is taken away again, so that nothing is half-written.
            for file in &files {
                let _ = fs::remove_file(folder.join(file.name));
            }
            made.take_away();
            failed(&error.into())
        }
    }
}
