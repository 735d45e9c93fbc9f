//! How a report gets into its folder whole or not at all.
//!
//! In: the files of a report. Out: the folder `OUT/NAME`, exchanged in one step where the system can.
//! This module never touches a folder that is no report.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use residuum::error::{Error, ErrorKind};
use residuum::report::ReportFile;

/// File by which a report is known.
const RESULT: &str = "result.json";

/// Writes all files beside the old report, then puts the new one in its place.
///
/// # Errors
/// [`ErrorKind::Unwritable`]; the old report stays as it was.
pub(super) fn publish(out: &Path, name: &str, files: &[ReportFile]) -> Result<PathBuf, Error> {
    let target = out.join(name);
    fs::create_dir_all(out).map_err(|error| unwritable(out, &error))?;
    finish_interrupted(out, name);
    if target.exists() && !is_report(&target) {
        return Err(Error::new(
            ErrorKind::Unwritable,
            format!("`{}` exists and is no report of residuum", target.display()),
        )
        .hint("move it away, or choose another folder with `--out`"));
    }
    let fresh = out.join(format!(".residuum-tmp-{name}-{}", std::process::id()));
    let written = write_all(&fresh, files).and_then(|()| exchange(out, name, &fresh, &target));
    if let Err(error) = written {
        let _ = fs::remove_dir_all(&fresh);
        return Err(unwritable(&target, &error));
    }
    let _ = fs::remove_dir_all(&fresh);
    sync_folder(out);
    Ok(target)
}

fn is_report(folder: &Path) -> bool {
    folder.join(RESULT).is_file()
        || fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_none())
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
        let mut handle = fs::File::create(&path)?;
        handle.write_all(&file.bytes)?;
        handle.sync_all()?;
    }
    folders.iter().for_each(|folder| sync_folder(folder));
    Ok(())
}

/// A folder is flushed so that its names outlive a power cut; where the system cannot, nothing is lost but that.
fn sync_folder(folder: &Path) {
    if let Ok(handle) = fs::File::open(folder) {
        let _ = handle.sync_all();
    }
}

fn exchange(out: &Path, name: &str, fresh: &Path, target: &Path) -> std::io::Result<()> {
    if !target.exists() {
        return fs::rename(fresh, target);
    }
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
    let _ = fs::remove_dir_all(&aside);
    Ok(())
}

fn aside(out: &Path, name: &str) -> PathBuf {
    out.join(format!(".residuum-old-{name}"))
}

/// Completes what a run before could not: an old report put aside comes back when no new one took its place,
/// and half-written ones of processes that are gone are cleared away.
fn finish_interrupted(out: &Path, name: &str) {
    let aside = aside(out, name);
    if aside.exists() {
        if out.join(name).exists() {
            let _ = fs::remove_dir_all(&aside);
        } else {
            let _ = fs::rename(&aside, out.join(name));
        }
    }
    let prefix = format!(".residuum-tmp-{name}-");
    let Ok(entries) = fs::read_dir(out) else {
        return;
    };
    for entry in entries.filter_map(Result::ok) {
        let file_name = entry.file_name().to_string_lossy().into_owned();
        if let Some(process) = file_name.strip_prefix(&prefix)
            && process.parse::<u32>().is_ok_and(|id| !is_running(id))
        {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}

/// Whether a process of that number lives; without `/proc` it is taken to live, so nothing is cleared too early.
fn is_running(process: u32) -> bool {
    let all = Path::new("/proc");
    !all.join("self").exists() || all.join(process.to_string()).exists()
}

fn unwritable(path: &Path, error: &std::io::Error) -> Error {
    Error::new(
        ErrorKind::Unwritable,
        format!("`{}` cannot be written: {error}", path.display()),
    )
    .hint("check that the folder may be written and has room, or choose another with `--out`")
}
