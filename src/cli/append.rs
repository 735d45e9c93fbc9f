//! Planned runs written behind the rows of a runs log: whole or not at all.
//!
//! In: a path, the logs as they were read, the new content of one. Out: the log exchanged in one step; [`Appended`], which can be
//! taken back.
//! This module never changes a byte that stands in a log, and never writes where somebody else does.

use std::ffi::OsStr;
use std::fs::{self, File, Metadata, TryLockError};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use residuum::campaign::LogKind;
use residuum::error::Error;
use residuum::intake::LogFile;

use super::faults::{unreadable, unwritable};
use super::load::Loaded;
use super::publish::{beside, clear_away, sync_folder};

/// What to do where a log is not as it was.
const AGAIN: &str = "ask again when nobody writes to it";

/// The runs log that is to be longer.
pub(super) struct Target<'a> {
    /// As it was read.
    pub log: &'a LogFile,
    /// Where it lies, without links.
    path: PathBuf,
}

/// A log that is longer by now.
pub(super) struct Appended {
    path: PathBuf,
    before: Vec<u8>,
    after: Vec<u8>,
}

impl Appended {
    /// The log is as it was before, unless somebody wrote to it meanwhile.
    pub fn take_back(self) {
        let _ = exchanged(&self.path, &self.after, &self.before);
    }
}

/// The log of the campaign that a path means.
///
/// # Errors
/// [`ErrorKind::Unreadable`](residuum::error::ErrorKind::Unreadable) where no runs log of the campaign lies there, or a link does.
pub(super) fn target<'a>(loaded: &'a Loaded, file: &Path) -> Result<Target<'a>, Error> {
    let by_name = loaded.folder().join(file);
    // A log may be called as the campaign file calls it.
    let is_named = |log: &LogFile| file.to_str() == Some(log.file.as_str());
    let file = match file.exists() || !loaded.files.iter().any(is_named) {
        true => file,
        false => by_name.as_path(),
    };
    let shown = file.display();
    let logs = loaded.files.iter().filter(|log| log.kind == LogKind::Runs);
    let names: Vec<String> = logs.clone().map(|log| format!("`{}`", log.file)).collect();
    let hint = format!("name a runs log of the campaign: {}", names.join(", "));
    let metadata = fs::symlink_metadata(file).map_err(|error| {
        let what = format!("nothing can be added to `{shown}`: {error}");
        unreadable(what, &hint)
    })?;
    if metadata.is_symlink() {
        let what = format!("`{shown}` is a link, to which nothing is added");
        return Err(unreadable(what, "name the file that it leads to"));
    }
    let real = |path: &Path| fs::canonicalize(path).ok();
    let path = real(file).unwrap_or_else(|| file.to_path_buf());
    let mut logs =
        logs.filter(|log| real(&loaded.folder().join(&log.file)).as_ref() == Some(&path));
    match logs.next() {
        Some(log) => Ok(Target { log, path }),
        None => {
            let what = format!(
                "`{shown}` is no runs log that `{}` names",
                loaded.campaign.file
            );
            Err(unreadable(what, &hint))
        }
    }
}

/// Puts the new content of a log into its place.
///
/// # Errors
/// [`ErrorKind::Unwritable`](residuum::error::ErrorKind::Unwritable); the log stays as it was.
pub(super) fn append(target: &Target, after: Vec<u8>) -> Result<Appended, Error> {
    let (path, before) = (target.path.clone(), target.log.bytes.clone());
    exchanged(&path, &before, &after)?;
    Ok(Appended {
        path,
        before,
        after,
    })
}

/// Exchanges the content of a file that is as it was: another one is written beside it and takes its name.
fn exchanged(path: &Path, before: &[u8], after: &[u8]) -> Result<(), Error> {
    let folder = path.parent().unwrap_or(Path::new("."));
    let name = path.file_name().unwrap_or_default();
    is_open_elsewhere(folder, name)?;
    let mut own = File::options()
        .read(true)
        .write(true)
        .open(path)
        .map_err(|error| not_added(path, &error))?;
    match own.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => {
            let what = format!("another process is writing to `{}`", path.display());
            return Err(unwritable(what, "ask again when it is done"));
        }
        Err(TryLockError::Error(error)) => return Err(not_added(path, &error)),
    }
    let metadata = own.metadata().map_err(|error| not_added(path, &error))?;
    may_be_exchanged(path, &metadata)?;
    let mut now = Vec::new();
    let read = own.read_to_end(&mut now);
    read.map_err(|error| not_added(path, &error))?;
    if now != before || !is_still(path, &metadata) {
        return Err(changed(path));
    }
    let name = name.to_string_lossy();
    clear_away(folder, Some(&name));
    let fresh = beside(folder, &name);
    let written = written_like(&own, &metadata, &fresh, after).and_then(|()| {
        // Nobody who asks for the lock writes here; whoever does not is seen up to the last moment.
        match is_still(path, &metadata) {
            true => fs::rename(&fresh, path).map(|()| true),
            false => Ok(false),
        }
    });
    if !matches!(written, Ok(true)) {
        let _ = fs::remove_file(&fresh);
    }
    match written {
        Ok(true) => {
            sync_folder(folder);
            Ok(())
        }
        Ok(false) => Err(changed(path)),
        Err(error) => Err(not_added(path, &error)),
    }
}

/// Whether a path still leads to the same file, which nobody wrote to.
fn is_still(path: &Path, known: &Metadata) -> bool {
    let Ok(now) = fs::symlink_metadata(path) else {
        return false;
    };
    let same_file = {
        #[cfg(unix)]
        {
            use std::os::unix::fs::MetadataExt;
            (now.dev(), now.ino()) == (known.dev(), known.ino())
        }
        #[cfg(not(unix))]
        true
    };
    same_file && now.len() == known.len() && now.modified().ok() == known.modified().ok()
}

/// Writes a new file with owner and permissions of another one, flushed.
fn written_like(own: &File, known: &Metadata, fresh: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut options = File::options();
    options.write(true).create_new(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        // Nobody else reads it before it has its own permissions.
        options.mode(0o600);
    }
    let mut file = options.open(fresh)?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::{MetadataExt, fchown};
        let made = file.metadata()?;
        if (made.uid(), made.gid()) != (known.uid(), known.gid()) {
            fchown(&file, Some(known.uid()), Some(known.gid()))?;
        }
    }
    file.write_all(bytes)?;
    file.set_permissions(known.permissions())?;
    with_access_list(own, &file)?;
    file.sync_all()
}

/// Gives a file the access list of another one, where that has one beside its permissions.
fn with_access_list(from: &File, to: &File) -> io::Result<()> {
    #[cfg(target_os = "linux")]
    {
        use rustix::fs::{XattrFlags, fgetxattr, fsetxattr};
        const LIST: &str = "system.posix_acl_access";
        let mut list = vec![0; 65_536];
        if let Ok(length) = fgetxattr(from, LIST, list.as_mut_slice()) {
            fsetxattr(to, LIST, &list[..length], XattrFlags::empty())?;
        }
    }
    #[cfg(not(target_os = "linux"))]
    let _ = (from, to);
    Ok(())
}

/// Asks that a file has one name alone and may be written.
fn may_be_exchanged(path: &Path, metadata: &Metadata) -> Result<(), Error> {
    let shown = path.display();
    if metadata.permissions().readonly() {
        let what = format!("`{shown}` is read-only, so nothing is added to it");
        return Err(unwritable(what, "allow writing to it first"));
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        if metadata.nlink() > 1 {
            let names = metadata.nlink();
            let what =
                format!("`{shown}` is one of {names} names of a file, so nothing is added to it");
            return Err(unwritable(what, "copy it to a file of its own first"));
        }
    }
    Ok(())
}

/// Asks that no other program has said, by a file beside it, that it holds a file open: it would write over what is added.
fn is_open_elsewhere(folder: &Path, name: &OsStr) -> Result<(), Error> {
    let name = name.to_string_lossy();
    let marks = [format!(".~lock.{name}#"), format!("~${name}")];
    match marks.iter().find(|mark| folder.join(mark).exists()) {
        None => Ok(()),
        Some(mark) => {
            let what = format!("another program holds `{name}` open: it left `{mark}` beside it");
            let hint = "close the file there; if nobody has it open, delete that mark";
            Err(unwritable(what, hint))
        }
    }
}

fn changed(path: &Path) -> Error {
    let what = format!(
        "`{}` changed since it was read, so nothing is added to it",
        path.display()
    );
    unwritable(what, AGAIN)
}

fn not_added(path: &Path, error: &io::Error) -> Error {
    let what = format!("nothing can be added to `{}`: {error}", path.display());
    unwritable(
        what,
        "check that it and its folder may be written and have room",
    )
}
