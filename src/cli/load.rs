//! The files of a campaign and what is in them.
//!
//! In: a path from the command line. Out: the campaign file and the bytes of every log.
//! This module never looks into a log.

use std::fs;
use std::path::{Component, Path, PathBuf};

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

/// Whether logs may lie outside of the folder of the campaign file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Outside {
    /// A path that leaves it is a fault.
    Refused,
    /// The user trusts whoever wrote the campaign file.
    Allowed,
}

impl Outside {
    /// As `--allow-outside` says it.
    pub fn of(is_allowed: bool) -> Self {
        match is_allowed {
            true => Outside::Allowed,
            false => Outside::Refused,
        }
    }
}

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

impl Loaded {
    /// The folder that the paths of its logs start from.
    pub fn folder(&self) -> &Path {
        folder_of(&self.path)
    }
}

fn folder_of(campaign: &Path) -> &Path {
    let folder = campaign.parent().filter(|p| !p.as_os_str().is_empty());
    folder.unwrap_or(Path::new("."))
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
pub(super) fn load(path: &Path, outside: Outside) -> Result<Loaded, Faults> {
    let (path, bytes, text) = campaign_file(path)?;
    let campaign = CampaignDraft::read(text)?.check()?;
    Ok(with_logs(path, bytes, campaign, outside))
}

/// The same of a campaign file that may be faulty, as far as it can be read, beside all of its faults.
///
/// # Errors
/// A campaign file that cannot be read at all.
pub(super) fn load_as_far_as_sound(
    path: &Path,
    outside: Outside,
) -> Result<(Loaded, Readable), Faults> {
    let (path, bytes, text) = campaign_file(path)?;
    let readable = readable(&text);
    let loaded = with_logs(path, bytes, readable.campaign.clone(), outside);
    Ok((loaded, readable))
}

/// The campaign file by its path, its bytes and its text.
fn campaign_file(path: &Path) -> Result<(PathBuf, Vec<u8>, FileText), Error> {
    let path = campaign_path(path)?;
    let file = path.file_name().unwrap_or(CAMPAIGN_FILE.as_ref());
    let file = file.to_string_lossy().into_owned();
    let bytes = bytes(&without_links(&path), &file, MOST_OF_A_CAMPAIGN_FILE)?;
    let text = String::from_utf8(bytes.clone()).map_err(|_| {
        unreadable(format!("`{file}` is not UTF-8 text"), "save it as UTF-8").in_file(&file)
    })?;
    let text = text
        .strip_prefix('\u{feff}')
        .map(str::to_string)
        .unwrap_or(text);
    Ok((path, bytes, FileText { file, text }))
}

fn with_logs(path: PathBuf, bytes: Vec<u8>, campaign: Campaign, outside: Outside) -> Loaded {
    let mut lost = Vec::new();
    let (files, unread) = logs(&campaign, folder_of(&path), outside, &mut lost);
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
fn logs(
    campaign: &Campaign,
    folder: &Path,
    outside: Outside,
    lost: &mut Vec<LogKind>,
) -> (Vec<LogFile>, Vec<Error>) {
    let real_folder = without_links(folder);
    let mut wanted: Vec<Result<Wanted, Error>> = Vec::new();
    for log in &campaign.logs.files {
        let before = wanted.iter().filter(|one| one.is_err()).count();
        for pattern in &log.patterns {
            if outside == Outside::Refused && leaves(folder, pattern) {
                let what = format!("lies outside of the folder of `{}`", campaign.file);
                wanted.push(Err(led_out(campaign, log.line, pattern, &what)));
                continue;
            }
            let missing = || no_file(campaign, log.line, pattern);
            let (path, part) = path_and_part(folder, pattern);
            let found = match named(folder, path) {
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
            let mut is_told = false;
            for path in found.files {
                let file = name_of(&path, folder);
                let path = without_links(&path);
                if outside == Outside::Refused && !path.starts_with(&real_folder) {
                    let what = format!("is a link out of the folder of `{}`", campaign.file);
                    let fault = led_out(campaign, log.line, &file, &what);
                    // One of a pattern stands for all.
                    wanted.extend((!is_told).then_some(Err(fault)));
                    is_told = true;
                    continue;
                }
                let wanted_log = Wanted {
                    kind: log.kind,
                    file,
                    path,
                    part: part.map(str::to_string),
                };
                if !wanted.iter().flatten().any(|it| *it == wanted_log) {
                    wanted.push(Ok(wanted_log));
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

/// A path or pattern of `[logs]`, and which sheet or table of the file: what stands behind `#`, unless a file is called so.
fn path_and_part<'p>(folder: &Path, pattern: &'p str) -> (&'p str, Option<&'p str>) {
    match pattern.split_once('#') {
        Some((path, part)) if !folder.join(pattern).exists() => (path, Some(part)),
        _ => (pattern, None),
    }
}

/// A path without links; as it is where nothing is there.
fn without_links(path: &Path) -> PathBuf {
    fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf())
}

/// Whether a path or a pattern, as it is written, leaves a folder.
fn leaves(folder: &Path, pattern: &str) -> bool {
    let path = Path::new(pattern);
    let own = [
        std::path::absolute(folder).ok(),
        Some(without_links(folder)),
    ];
    let below = own.iter().flatten();
    let below = below.filter_map(|own| path.strip_prefix(own).ok()).next();
    let mut depth = 0usize;
    for part in below.unwrap_or(path).components() {
        match part {
            Component::CurDir => {}
            Component::Normal(_) => depth += 1,
            Component::ParentDir if depth > 0 => depth -= 1,
            Component::ParentDir | Component::RootDir | Component::Prefix(_) => return true,
        }
    }
    false
}

fn led_out(campaign: &Campaign, line: usize, path: &str, what: &str) -> Error {
    let file = &campaign.file;
    let what = format!("`{path}`, which `{file}` line {line} names, {what}");
    let hint = "copy it into the folder, or call with `--allow-outside` if you trust whoever wrote the campaign file";
    unreadable(what, hint).in_file(file).on_line(line)
}

/// A log that a campaign file names.
#[derive(PartialEq, Eq)]
struct Wanted {
    kind: LogKind,
    /// Where it lies, without links.
    path: PathBuf,
    file: String,
    part: Option<String>,
}

impl Wanted {
    fn read(self) -> Result<LogFile, Error> {
        let Wanted {
            kind,
            path,
            file,
            part,
        } = self;
        let bytes = bytes(&path, &file, MOST_OF_A_LOG)?;
        Ok(LogFile {
            kind,
            file,
            part,
            bytes,
        })
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
