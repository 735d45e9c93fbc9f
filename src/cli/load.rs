//! The files of a campaign and what is in them.
//!
//! In: a path from the command line. Out: the campaign file and the bytes of every log.
//! This module never looks into a log.

use std::path::{Path, PathBuf};

use residuum::campaign::{Campaign, CampaignDraft, FileText, LogKind, Readable, readable};
use residuum::error::{Cause, Error, Faults};
use residuum::intake::LogFile;

use super::faults::unreadable;
use super::named_files::{name_of, named};
use super::ordinary_file::{
    MOST_OF_A_CAMPAIGN_FILE, MOST_OF_A_LOG, MOST_OF_ALL_LOGS, bytes, megabytes, size,
};

/// Name that a campaign file has in its folder.
pub(super) const CAMPAIGN_FILE: &str = "campaign.toml";

/// A campaign as it lies on disk; where its file is faulty, as far as that could be read.
pub(super) struct Loaded {
    /// The bytes of the campaign file.
    pub bytes: Vec<u8>,
    /// The checked campaign file.
    pub campaign: Campaign,
    /// Its logs, as far as they could be read.
    pub files: Vec<LogFile>,
    /// Logs that could not be read; any of them stops the work.
    pub unread: Vec<Error>,
    /// Which logs these are.
    pub lost: Vec<LogKind>,
    /// The campaign file by its path.
    pub path: PathBuf,
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
    let (path, bytes, text) = campaign_file(path)?;
    let campaign = CampaignDraft::read(text)?.check()?;
    Ok(with_logs(path, bytes, campaign))
}

/// The same of a campaign file that may be faulty, as far as it can be read, beside all of its faults.
///
/// # Errors
/// A campaign file that cannot be read at all.
pub(super) fn load_as_far_as_sound(path: &Path) -> Result<(Loaded, Readable), Faults> {
    let (path, bytes, text) = campaign_file(path)?;
    let readable = readable(&text);
    Ok((with_logs(path, bytes, readable.campaign.clone()), readable))
}

/// The campaign file by its path, its bytes and its text.
fn campaign_file(path: &Path) -> Result<(PathBuf, Vec<u8>, FileText), Error> {
    let path = campaign_path(path)?;
    let file = path.file_name().unwrap_or(CAMPAIGN_FILE.as_ref());
    let file = file.to_string_lossy().into_owned();
    let bytes = bytes(&path, &file, MOST_OF_A_CAMPAIGN_FILE)?;
    let text = String::from_utf8(bytes.clone()).map_err(|_| {
        unreadable(format!("`{file}` is not UTF-8 text"), "save it as UTF-8").in_file(&file)
    })?;
    let text = text
        .strip_prefix('\u{feff}')
        .map(str::to_string)
        .unwrap_or(text);
    Ok((path, bytes, FileText { file, text }))
}

fn with_logs(path: PathBuf, bytes: Vec<u8>, campaign: Campaign) -> Loaded {
    let folder = path
        .parent()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let mut lost = Vec::new();
    let (files, unread) = logs(&campaign, folder, &mut lost);
    Loaded {
        bytes,
        campaign,
        files,
        unread,
        lost,
        path,
    }
}

/// The logs of a campaign, and why others could not be read, and which these are.
fn logs(campaign: &Campaign, folder: &Path, lost: &mut Vec<LogKind>) -> (Vec<LogFile>, Vec<Error>) {
    let mut wanted: Vec<Result<Wanted, Error>> = Vec::new();
    for log in &campaign.logs.files {
        let before = wanted.iter().filter(|one| one.is_err()).count();
        for pattern in &log.patterns {
            let missing = || no_file(campaign, log.line, pattern);
            let found = match named(folder, pattern) {
                Ok(found) => found,
                Err(hint) => {
                    wanted.push(Err(missing().hint(hint)));
                    continue;
                }
            };
            if found.files.is_empty() && found.faults.is_empty() {
                wanted.push(Err(missing()));
            }
            wanted.extend(found.faults.into_iter().map(Err));
            for path in found.files {
                let (kind, file) = (log.kind, name_of(&path, folder));
                let is_same = |it: &Wanted| it.kind == kind && it.file == file;
                if !wanted.iter().flatten().any(is_same) {
                    wanted.push(Ok(Wanted { kind, path, file }));
                }
            }
        }
        if wanted.iter().filter(|one| one.is_err()).count() > before {
            lost.push(log.kind);
        }
    }
    if let Err(error) = few_enough(&wanted) {
        lost.extend(LogKind::ALL);
        let faults = wanted.into_iter().filter_map(Result::err);
        return (Vec::new(), faults.chain([error]).collect());
    }
    let mut files = Vec::new();
    let mut faults = Vec::new();
    for one in wanted {
        let kind = one.as_ref().ok().map(|wanted| wanted.kind);
        match one.and_then(Wanted::read) {
            Ok(file) => files.push(file),
            Err(error) => {
                lost.extend(kind);
                faults.push(error);
            }
        }
    }
    (files, faults)
}

/// A log that a campaign file names.
struct Wanted {
    kind: LogKind,
    path: PathBuf,
    file: String,
}

impl Wanted {
    fn read(self) -> Result<LogFile, Error> {
        let Wanted { kind, path, file } = self;
        let bytes = bytes(&path, &file, MOST_OF_A_LOG)?;
        Ok(LogFile { kind, file, bytes })
    }
}

/// Whether all logs together can be held; one that is too long by itself is told when it is read.
fn few_enough(wanted: &[Result<Wanted, Error>]) -> Result<(), Error> {
    let sizes = wanted.iter().flatten().map(|log| size(&log.path));
    let all: u64 = sizes.filter(|size| *size <= MOST_OF_A_LOG).sum();
    if all <= MOST_OF_ALL_LOGS {
        return Ok(());
    }
    let [all, most] = [all, MOST_OF_ALL_LOGS].map(megabytes);
    let what = format!("the logs hold {all} together, more than {most}");
    let hint = "check that `[logs]` names the files you mean: a campaign is far shorter";
    Err(unreadable(what, hint))
}

fn no_file(campaign: &Campaign, line: usize, pattern: &str) -> Error {
    let file = &campaign.file;
    let what = format!("no file `{pattern}`, which `{file}` line {line} names");
    let hint =
        "paths are relative to the campaign file; take the log out of `[logs]` if there is none";
    let cause = Cause::Things("log that is not there".into());
    let fault = unreadable(what, hint).in_file(file).on_line(line);
    fault.alike(cause, Some(pattern))
}
