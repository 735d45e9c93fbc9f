//! A new campaign folder to fill in.
//!
//! In: a folder, and which demo it should be like or the files it is for. Out: a commented campaign file and logs with their headings, or
//! a draft for the files.
//! This module never writes over a campaign that is there.

use std::fs;
use std::path::{Path, PathBuf};

use residuum::error::{Error, Faults};
use residuum::intake::outline::outline;
use residuum::report::{draft_file, lacks_titrants};

use super::faults::{unreadable, unwritable};
use super::load::CAMPAIGN_FILE;
use super::ordinary_file::{MOST_OF_A_LOG, bytes};
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
    let lines = text.lines();
    let body = lines.skip_while(|line| line.starts_with('#') || line.trim().is_empty());
    let opening = "# A campaign to fill in: change what differs, keep or delete the rest, then write rows into the logs.";
    let lines = [opening, ""].into_iter().chain(body);
    lines.map(|line| format!("{line}\n")).collect()
}

/// A file to write: its name in the folder and its content.
struct Written {
    name: String,
    content: Vec<u8>,
}

impl Written {
    fn new(name: &str, content: impl Into<Vec<u8>>) -> Self {
        Written {
            name: name.into(),
            content: content.into(),
        }
    }
}

/// The files to write for a campaign without any.
fn blank(like: Option<Like>) -> Vec<Written> {
    let (campaign, logs): (String, &[(&str, &str)]) = match like {
        None => (include_str!("start/campaign.toml").into(), &[]),
        Some(Like::Bluestone) => {
            // No furnace log is written, so its line waits behind a #.
            let text = demo!("bluestone/campaign.toml").replace("\nreadings = ", "\n# readings = ");
            (without_opening(&text), &LOGS_OF_BLUESTONE)
        }
        Some(Like::Iodate) => {
            let text = without_opening(demo!("iodate/campaign.toml"));
            (text, &LOGS_OF_IODATE)
        }
    };
    let mut files = vec![Written::new(CAMPAIGN_FILE, campaign)];
    let headings = logs.iter();
    files.extend(headings.map(|(name, log)| Written::new(name, heading(log))));
    if like.is_none() {
        files.push(Written::new("runs.csv", include_str!("start/runs.csv")));
    }
    files
}

/// The log of titrants that titres need, to be filled in.
const TITRANTS: (&str, &str) = (
    "titrants.csv",
    "titrant,date,concentration / mol/L,u_concentration\n",
);

/// The files to write for existing ones: the drafted campaign file, and copies of those that lie elsewhere.
///
/// # Errors
/// Files that cannot be read, or would be written over.
fn drafted(folder: &Path, from: &[PathBuf]) -> Result<Vec<Written>, Faults> {
    let mut faults: Vec<Error> = Vec::new();
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    let mut written: Vec<Written> = Vec::new();
    let inside = fs::canonicalize(folder).ok();
    for path in from {
        let shown = path.display().to_string();
        let content = match bytes(path, &shown, MOST_OF_A_LOG) {
            Ok(content) => content,
            Err(error) => {
                faults.push(error);
                continue;
            }
        };
        let real = fs::canonicalize(path).unwrap_or_else(|_| path.clone());
        let below = inside.as_ref();
        let below = below.and_then(|inside| real.strip_prefix(inside).ok());
        let name = below.unwrap_or(Path::new(path.file_name().unwrap_or_default()));
        let Some(name) = name.to_str().map(|name| name.replace('\\', "/")) else {
            let what = format!("the name of `{shown}` is not UTF-8");
            faults.push(unwritable(what, "rename it"));
            continue;
        };
        if files.iter().any(|(known, _)| *known == name) {
            let what = format!("two files are called `{name}`");
            let hint = "rename one of them, or put both into the folder of the campaign";
            faults.push(unwritable(what, hint));
        }
        if below.is_none() {
            written.push(Written::new(&name, content.clone()));
        }
        files.push((name, content));
    }
    Faults::or(faults, ())?;
    let outline = outline(&files)?;
    if outline.tables.is_empty() {
        let what = "none of the files holds a table with a row".to_string();
        return Err(unreadable(what, "name the files that hold your logs").into());
    }
    let (name, headings) = TITRANTS;
    let lacks = lacks_titrants(&outline) && !folder.join(name).exists();
    if lacks {
        written.push(Written::new(name, headings));
    }
    let campaign = draft_file(&outline, lacks.then_some(name));
    written.insert(0, Written::new(CAMPAIGN_FILE, campaign));
    Ok(written)
}

pub(super) fn start(folder: &Path, like: Option<Like>, from: &[PathBuf]) -> Ending {
    let files = match from {
        [] => blank(like),
        from => match drafted(folder, from) {
            Ok(files) => files,
            Err(faults) => return failed(&faults),
        },
    };
    let paths = || files.iter().map(|file| folder.join(&file.name));
    if let Some(taken) = paths().find(|path| path.exists()) {
        let what = format!("`{}` is there already", taken.display());
        let error = unwritable(what, "name a folder that does not hold a campaign");
        return failed(&error.into());
    }
    let names: String = paths().map(|of| format!("{}\n", of.display())).collect();
    let made = Made::below(folder);
    let mut texts = paths().zip(&files);
    let written = fs::create_dir_all(folder)
        .and_then(|()| texts.try_for_each(|(path, file)| fs::write(path, &file.content)))
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
