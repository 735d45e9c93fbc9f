//! The publishing of a report: into its folder whole or not at all.
//!
//! In: the files of a report. Out: the folder `OUT/NAME`, exchanged in one step where the system can.
//! This module never touches a folder that is no report.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use residuum::error::Error;
use residuum::report::{ReportFile, sha256, visible};
use residuum::result::OfReport;
use serde_json::Value;

use super::faults::{not_written, unwritable};

/// File whose manifest lists all others, by which a report is known.
const RESULT: &str = "result.json";

/// File that every report has.
const PAGE: &str = "report.md";

/// How the name of something that is being written begins.
const FRESH: &str = ".residuum-tmp-";

/// Longest name that is kept as it is beside `.residuum-tmp-` and a process number: file systems take 255 bytes.
const LONGEST_PART: usize = 200;

/// A report in its place; what was there before waits aside until it is known that the new one stays.
#[must_use]
pub(super) struct Published {
    out: PathBuf,
    name: String,
    /// Where the older report lies now, or would.
    older: PathBuf,
    was_there: bool,
    made: Made,
}

impl Published {
    /// Where the report lies.
    pub fn folder(&self) -> PathBuf {
        self.out.join(&self.name)
    }

    /// The new report stays.
    pub fn keep(self) {
        let _ = fs::remove_dir_all(&self.older);
    }

    /// Everything is as it was before, as far as the system lets it.
    pub fn take_back(self) {
        let target = self.folder();
        let _ = match self.was_there {
            true => exchange(&self.out, &self.name, &self.older, &target),
            false => fs::rename(&target, &self.older),
        };
        let _ = fs::remove_dir_all(&self.older);
        self.made.take_away();
    }
}

/// Writes all files beside the old report, then puts the new one in its place.
///
/// # Errors
/// [`ErrorKind::Unwritable`](residuum::error::ErrorKind::Unwritable); the old report stays as it was.
pub(super) fn publish(out: &Path, name: &str, files: &[ReportFile]) -> Result<Published, Error> {
    let made = Made::below(out);
    let published = fs::create_dir_all(out)
        .map_err(|error| not_written(out, &error))
        .and_then(|()| {
            clear_away(out, Some(name));
            place(out, name, files)
        });
    match published {
        Ok(published) => Ok(Published { made, ..published }),
        Err(error) => {
            made.take_away();
            Err(error)
        }
    }
}

/// As [`publish`], for one of many reports into a folder that is there and was cleared by [`clear_away`]; the name may
/// hold `/`.
///
/// # Errors
/// [`ErrorKind::Unwritable`](residuum::error::ErrorKind::Unwritable); the old report stays as it was.
pub(super) fn publish_among(out: &Path, name: &str, files: &[ReportFile]) -> Result<(), Error> {
    place(out, name, files).map(Published::keep)
}

fn place(out: &Path, name: &str, files: &[ReportFile]) -> Result<Published, Error> {
    let target = out.join(name);
    put_back(out, name);
    replaceable(&target, files)?;
    let parent = target.parent().unwrap_or(out);
    fs::create_dir_all(parent).map_err(|error| not_written(&target, &error))?;
    let fresh = beside(out, name);
    let was_there = target.exists();
    let placed = write_all(&fresh, files).and_then(|()| match was_there {
        true => exchange(out, name, &fresh, &target),
        false => fs::rename(&fresh, &target),
    });
    if let Err(error) = placed {
        let _ = fs::remove_dir_all(&fresh);
        return Err(not_written(&target, &error));
    }
    sync_folder(parent);
    Ok(Published {
        out: out.to_path_buf(),
        name: name.to_string(),
        older: fresh,
        was_there,
        made: Made(Vec::new()),
    })
}

/// Puts one text into place in one step, [`visible`] all of it, the old file as it was until then; one that says the same is
/// not touched.
///
/// # Errors
/// [`ErrorKind::Unwritable`](residuum::error::ErrorKind::Unwritable); the old file stays as it was.
pub(super) fn publish_file(out: &Path, name: &str, text: &str) -> Result<(), Error> {
    publish_bytes(out, name, visible(text).as_bytes())
}

/// As [`publish_file`], of bytes that no terminal shows.
///
/// # Errors
/// [`ErrorKind::Unwritable`](residuum::error::ErrorKind::Unwritable); the old file stays as it was.
pub(super) fn publish_bytes(out: &Path, name: &str, bytes: &[u8]) -> Result<(), Error> {
    let target = out.join(name);
    if fs::read(&target).is_ok_and(|there| there == bytes) {
        return Ok(());
    }
    let fresh = beside(out, name);
    let written = write_one(&fresh, bytes).and_then(|()| fs::rename(&fresh, &target));
    if let Err(error) = written {
        let _ = fs::remove_file(&fresh);
        return Err(not_written(&target, &error));
    }
    sync_folder(target.parent().unwrap_or(out));
    Ok(())
}

/// Where something new is written before it takes its place.
pub(super) fn beside(out: &Path, name: &str) -> PathBuf {
    out.join(format!("{FRESH}{}-{}", one_part(name), std::process::id()))
}

/// A name as one part of a path: `%` and `/` are written as `%25` and `%2F`, and of a long name only its digest stays.
pub(super) fn one_part(name: &str) -> String {
    let part = name.replace('%', "%25").replace('/', "%2F");
    if part.len() <= LONGEST_PART {
        part
    } else {
        sha256(name.as_bytes())
    }
}

/// The folders that a call is about to make for its output.
pub(super) struct Made(Vec<PathBuf>);

impl Made {
    /// Those of a path that are not there yet, the innermost first.
    pub fn below(path: &Path) -> Self {
        Made(
            path.ancestors()
                .filter(|folder| !folder.as_os_str().is_empty())
                .take_while(|folder| !folder.exists())
                .map(Path::to_path_buf)
                .collect(),
        )
    }

    /// Takes the empty ones away again after a failure; one that holds something by now stays.
    pub fn take_away(self) {
        for folder in self.0 {
            let _ = fs::remove_dir(folder);
        }
    }
}

/// Whether a report may take this place: nothing is there, or an empty folder, or a report of the same campaign and nothing beside it.
fn replaceable(target: &Path, files: &[ReportFile]) -> Result<(), Error> {
    let hint = "move it away, or choose another folder with `--out`";
    let refused = |what: String| Err(unwritable(what, hint));
    if target.symlink_metadata().is_err() {
        return Ok(());
    }
    let no_report = format!("`{}` exists and is no report of residuum", target.display());
    let Ok(there) = files_in(target) else {
        return refused(no_report);
    };
    let Some(listed) = listed(target) else {
        return match there.is_empty() {
            true => Ok(()),
            false => refused(no_report),
        };
    };
    let Some(other) = there.iter().find(|file| !listed.contains(file)) else {
        return same_source(target, files);
    };
    let folder = target.display();
    refused(format!(
        "`{folder}` holds a file that is no part of the report: `{other}`"
    ))
}

/// Whether the report that is there is of the campaign that the new one is of; one that does not say is taken as such.
fn same_source(target: &Path, files: &[ReportFile]) -> Result<(), Error> {
    let own = files.iter().find(|file| file.path == RESULT);
    let own = own.and_then(|file| source(&file.bytes));
    let other = fs::read(target.join(RESULT)).ok();
    let other = other.and_then(|bytes| source(&bytes));
    match (own, other) {
        (Some(own), Some(other)) if own != other => {
            let folder = target.display();
            let of = match other.starts_with("sha256:") {
                true => String::new(),
                false => format!(", `{other}`"),
            };
            Err(unwritable(
                format!("`{folder}` holds the report of another campaign{of}"),
                "choose another folder with `--out`; if it is the same campaign, moved or renamed, delete the old report first",
            ))
        }
        _ => Ok(()),
    }
}

/// The campaign file that a report says it is of.
fn source(result: &[u8]) -> Option<String> {
    OfReport::read(result)?.source
}

/// Files of a report by its own manifest, the manifest's included; `None` where there is no such manifest.
fn listed(folder: &Path) -> Option<Vec<String>> {
    let result = fs::read(folder.join(RESULT)).ok()?;
    let manifest = OfReport::read(&result)?.manifest;
    let ours = manifest.contains_key(PAGE) && manifest.values().all(is_digest);
    ours.then(|| manifest.into_keys().chain([RESULT.to_string()]).collect())
}

fn is_digest(value: &Value) -> bool {
    value
        .as_str()
        .is_some_and(|text| text.len() == 64 && text.bytes().all(|byte| byte.is_ascii_hexdigit()))
}

/// Everything but folders below a folder, by its path with `/`; links are not followed.
pub(super) fn files_in(folder: &Path) -> std::io::Result<Vec<String>> {
    let mut files = Vec::new();
    let mut folders = vec![PathBuf::new()];
    while let Some(inside) = folders.pop() {
        for entry in fs::read_dir(folder.join(&inside))? {
            let entry = entry?;
            let path = inside.join(entry.file_name());
            if entry.file_type()?.is_dir() {
                folders.push(path);
            } else {
                let parts: Vec<_> = path.iter().map(|part| part.to_string_lossy()).collect();
                files.push(parts.join("/"));
            }
        }
    }
    files.sort();
    Ok(files)
}

fn write_all(folder: &Path, files: &[ReportFile]) -> std::io::Result<()> {
    fs::create_dir(folder)?;
    let mut folders = vec![folder.to_path_buf()];
    for file in files {
        let path = folder.join(&file.path);
        if let Some(parent) = path.parent()
            && !parent.exists()
        {
            fs::create_dir_all(parent)?;
            folders.push(parent.to_path_buf());
        }
        write_one(&path, &file.bytes)?;
    }
    folders.iter().for_each(|folder| sync_folder(folder));
    Ok(())
}

fn write_one(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut handle = fs::File::create(path)?;
    handle.write_all(bytes)?;
    handle.sync_all()
}

/// A folder is flushed so that its names outlive a power cut; where the system cannot, nothing is lost but that.
pub(super) fn sync_folder(folder: &Path) {
    if let Ok(handle) = fs::File::open(folder) {
        let _ = handle.sync_all();
    }
}

/// Exchanges two folders: in one step where the system can, else by way of a third place, from which [`put_back`] takes it.
fn exchange(out: &Path, name: &str, fresh: &Path, target: &Path) -> std::io::Result<()> {
    #[cfg(target_os = "linux")]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        if renameat_with(CWD, fresh, CWD, target, RenameFlags::EXCHANGE).is_ok() {
            return Ok(());
        }
    }
    let aside = aside(out, name);
    fs::rename(target, &aside)?;
    if let Err(error) = fs::rename(fresh, target) {
        fs::rename(&aside, target)?;
        return Err(error);
    }
    fs::rename(&aside, fresh)
}

fn aside(out: &Path, name: &str) -> PathBuf {
    out.join(format!(".residuum-old-{}", one_part(name)))
}

/// An old report that a run before put aside comes back when no new one took its place.
fn put_back(out: &Path, name: &str) {
    let aside = aside(out, name);
    if aside.exists() {
        if out.join(name).exists() {
            let _ = fs::remove_dir_all(&aside);
        } else {
            let _ = fs::rename(&aside, out.join(name));
        }
    }
}

/// Clears away what processes that are gone left half-written, of one name or of all.
pub(super) fn clear_away(out: &Path, name: Option<&str>) {
    let part = name.map(one_part);
    let is_left = |file_name: &str| {
        let written = file_name.strip_prefix(FRESH)?.rsplit_once('-');
        let (_, process) =
            written.filter(|(of, _)| part.as_deref().is_none_or(|part| part == *of))?;
        let process = process.parse::<u32>().ok()?;
        Some(process == std::process::id() || !is_running(process))
    };
    let Ok(entries) = fs::read_dir(out) else {
        return;
    };
    for entry in entries.filter_map(Result::ok) {
        if is_left(&entry.file_name().to_string_lossy()) == Some(true) {
            let _ = fs::remove_dir_all(entry.path());
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// Whether a process of that number lives; without `/proc` it is taken to live, so nothing is cleared too early.
fn is_running(process: u32) -> bool {
    let all = Path::new("/proc");
    !all.join("self").exists() || all.join(process.to_string()).exists()
}
