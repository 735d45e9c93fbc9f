//! Which files a campaign has, and what is in them.
//!
//! In: a path from the command line. Out: the campaign file and the bytes of every log.
//! This module never looks into a log.

use std::fs;
use std::path::{Path, PathBuf};

use residuum::campaign::{Campaign, CampaignDraft, FileText};
use residuum::error::{Error, ErrorKind, Faults};
use residuum::intake::LogFile;

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
/// [`ErrorKind::Unreadable`] when there is none.
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
    Err(Error::new(ErrorKind::Unreadable, what).hint(
        "name a folder that holds a `campaign.toml`, or the file itself; `residuum start DIR` writes one",
    ))
}

/// Reads the campaign file and all its logs; a log that cannot be read is told beside those that can.
///
/// # Errors
/// Every fault of the campaign file in one go.
pub(super) fn load(path: &Path) -> Result<Loaded, Faults> {
    let path = campaign_path(path)?;
    let file = path.file_name().map_or_else(
        || CAMPAIGN_FILE.into(),
        |n| n.to_string_lossy().into_owned(),
    );
    let bytes = fs::read(&path).map_err(|error| unreadable(&file, &error))?;
    let text = String::from_utf8(bytes.clone()).map_err(|_| {
        Error::new(ErrorKind::Unreadable, format!("`{file}` is not UTF-8 text"))
            .in_file(&file)
            .hint("save it as UTF-8")
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
    let logs = logs(&campaign, folder);
    let name = fs::canonicalize(folder)
        .ok()
        .and_then(|folder| {
            folder
                .file_name()
                .map(|name| name.to_string_lossy().into_owned())
        })
        .unwrap_or_else(|| "campaign".into());
    Ok(Loaded {
        bytes,
        campaign,
        files: logs.files,
        unread: logs.unread,
        name,
    })
}

/// The logs of a campaign, and those that could not be read.
struct Logs {
    files: Vec<LogFile>,
    unread: Vec<Error>,
}

fn logs(campaign: &Campaign, folder: &Path) -> Logs {
    let mut files: Vec<LogFile> = Vec::new();
    let mut faults = Vec::new();
    for log in &campaign.logs.files {
        for pattern in &log.patterns {
            let found = match paths(folder, pattern) {
                Ok(found) if !found.is_empty() => found,
                Ok(_) => {
                    faults.push(no_file(campaign, log.line, pattern));
                    continue;
                }
                Err(hint) => {
                    faults.push(no_file(campaign, log.line, pattern).hint(hint));
                    continue;
                }
            };
            for path in found {
                let name = name_of(&path, folder);
                if files
                    .iter()
                    .any(|known| known.kind == log.kind && known.file == name)
                {
                    continue;
                }
                match bytes(&path, &name) {
                    Ok(bytes) => files.push(LogFile {
                        kind: log.kind,
                        file: name,
                        bytes,
                    }),
                    Err(error) => faults.push(error),
                }
            }
        }
    }
    Logs {
        files,
        unread: faults,
    }
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
        return Err(Error::new(
            ErrorKind::Unreadable,
            format!("`{name}` is a folder, not a file"),
        )
        .in_file(name)
        .hint("name the file, or all CSV files in the folder: `furnace/*.csv`"));
    }
    if metadata.is_some_and(|metadata| !metadata.is_file()) {
        return Err(Error::new(
            ErrorKind::Unreadable,
            format!("`{name}` is no ordinary file"),
        )
        .in_file(name)
        .hint("write the log into a file first; pipes and devices are not read"));
    }
    fs::read(path).map_err(|error| unreadable(name, &error))
}

/// The files of one path or glob, in byte order.
fn paths(folder: &Path, pattern: &str) -> Result<Vec<PathBuf>, String> {
    let plain = folder.join(pattern);
    if plain.exists() || !pattern.contains(['*', '?', '[']) {
        return Ok(if plain.exists() {
            vec![plain]
        } else {
            Vec::new()
        });
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
    Error::new(
        ErrorKind::Unreadable,
        format!(
            "no file `{pattern}`, which `{}` line {line} names",
            campaign.file
        ),
    )
    .in_file(&campaign.file)
    .on_line(line)
    .hint("paths are relative to the campaign file; take the log out of `[logs]` if there is none")
}

fn unreadable(file: &str, error: &std::io::Error) -> Error {
    Error::new(
        ErrorKind::Unreadable,
        format!("`{file}` cannot be read: {error}"),
    )
    .in_file(file)
    .hint("check the path and who may read it")
}
