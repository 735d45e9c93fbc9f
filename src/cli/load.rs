//! The files of a campaign and what is in them.
//!
//! In: a path from the command line. Out: the campaign file and the bytes of every log.
//! This module never looks into a log.

use std::fs;
use std::path::{Path, PathBuf};

use residuum::campaign::{Campaign, CampaignDraft, FileText};
use residuum::error::{Error, Faults};
use residuum::intake::LogFile;

use super::faults::unreadable;

/// Name that a campaign file has in its folder.
pub(super) const CAMPAIGN_FILE: &str = "campaign.toml";

/// A campaign as it lies on disk.
pub(super) struct Loaded {
    /// The bytes of the campaign file.
    pub bytes: Vec<u8>,
    /// The checked campaign file.
    pub campaign: Campaign,
    /// Its logs, as far as they could be read.
    pub files: Vec<LogFile>,
    /// Logs that could not be read; any of them stops the work.
    pub unread: Vec<Error>,
    /// Name of the folder that holds the campaign file.
    pub name: String,
}

/// The campaign file that a path means: itself, or the one in that folder.
///
/// # Errors
/// [`ErrorKind::Unreadable`](residuum::error::ErrorKind::Unreadable) when there is none.
pub(super) fn campaign_path(path: &Path) -> Result<PathBuf, Error> {
    let file = if path.is_dir() {
        path.join(CAMPAIGN_FILE)
    } else {
        path.to_path_buf()
    };
    if file.is_file() {
        return Ok(file);
    }
    let what = if path.is_dir() {
        format!("no `{CAMPAIGN_FILE}` in `{}`", path.display())
    } else {
        format!("no campaign at `{}`", path.display())
    };
    let hint = "name a folder that holds a `campaign.toml`, or the file itself; `residuum start DIR` writes one";
    Err(unreadable(what, hint))
}

/// Reads the campaign file and all its logs; a log that cannot be read is told beside those that can.
///
/// # Errors
/// Every fault of the campaign file in one go.
pub(super) fn load(path: &Path) -> Result<Loaded, Faults> {
    let path = campaign_path(path)?;
    let file = path.file_name().unwrap_or(CAMPAIGN_FILE.as_ref());
    let file = file.to_string_lossy().into_owned();
    let bytes = fs::read(&path).map_err(|error| not_read(&file, &error))?;
    let text = String::from_utf8(bytes.clone()).map_err(|_| {
        unreadable(format!("`{file}` is not UTF-8 text"), "save it as UTF-8").in_file(&file)
    })?;
    let text = text
        .strip_prefix('\u{feff}')
        .map(str::to_string)
        .unwrap_or(text);
    let campaign = CampaignDraft::read(FileText { file, text })?.check()?;
    let folder = path
        .parent()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let (files, unread) = logs(&campaign, folder);
    let real = fs::canonicalize(folder).ok();
    let name = real.as_deref().and_then(Path::file_name);
    Ok(Loaded {
        bytes,
        campaign,
        files,
        unread,
        name: name
            .unwrap_or("campaign".as_ref())
            .to_string_lossy()
            .into_owned(),
    })
}

/// The logs of a campaign, and why others could not be read.
fn logs(campaign: &Campaign, folder: &Path) -> (Vec<LogFile>, Vec<Error>) {
    let mut files: Vec<LogFile> = Vec::new();
    let mut faults = Vec::new();
    for log in &campaign.logs.files {
        for pattern in &log.patterns {
            let missing = || no_file(campaign, log.line, pattern);
            let found = match paths(folder, pattern) {
                Ok(found) => found,
                Err(hint) => {
                    faults.push(missing().hint(hint));
                    continue;
                }
            };
            if found.is_empty() {
                faults.push(missing());
            }
            for path in found {
                let (kind, file) = (log.kind, name_of(&path, folder));
                if files.iter().any(|it| it.kind == kind && it.file == file) {
                    continue;
                }
                match bytes(&path, &file) {
                    Ok(bytes) => files.push(LogFile { kind, file, bytes }),
                    Err(error) => faults.push(error),
                }
            }
        }
    }
    (files, faults)
}

/// What messages call a log: its path from the campaign file.
fn name_of(path: &Path, folder: &Path) -> String {
    let name = path
        .strip_prefix(folder)
        .unwrap_or(path)
        .to_string_lossy()
        .replace('\\', "/");
    if name.is_empty() { ".".into() } else { name }
}

/// The content of an ordinary file: a pipe or a device might never end.
fn bytes(path: &Path, name: &str) -> Result<Vec<u8>, Error> {
    let metadata = fs::metadata(path).ok();
    if metadata.as_ref().is_some_and(fs::Metadata::is_dir) {
        let hint = "name the file, or all CSV files in the folder: `furnace/*.csv`";
        return Err(unreadable(format!("`{name}` is a folder, not a file"), hint).in_file(name));
    }
    if metadata.is_some_and(|metadata| !metadata.is_file()) {
        let hint = "write the log into a file first; pipes and devices are not read";
        return Err(unreadable(format!("`{name}` is no ordinary file"), hint).in_file(name));
    }
    fs::read(path).map_err(|error| not_read(name, &error))
}

/// The files of one path or glob, in byte order.
fn paths(folder: &Path, pattern: &str) -> Result<Vec<PathBuf>, String> {
    let plain = folder.join(pattern);
    if plain.exists() {
        return Ok(vec![plain]);
    }
    if !pattern.contains(['*', '?', '[']) {
        return Ok(Vec::new());
    }
    let inside = glob::Pattern::escape(&folder.to_string_lossy());
    let full = format!("{inside}/{pattern}");
    let mut found: Vec<PathBuf> = glob::glob(&full)
        .map_err(|error| error.msg.to_string())?
        .filter_map(Result::ok)
        .collect();
    found.sort();
    Ok(found)
}

fn no_file(campaign: &Campaign, line: usize, pattern: &str) -> Error {
    let file = &campaign.file;
    let what = format!("no file `{pattern}`, which `{file}` line {line} names");
    let hint =
        "paths are relative to the campaign file; take the log out of `[logs]` if there is none";
    unreadable(what, hint).in_file(file).on_line(line)
}

fn not_read(file: &str, error: &std::io::Error) -> Error {
    let what = format!("`{file}` cannot be read: {error}");
    unreadable(what, "check the path and who may read it").in_file(file)
}
