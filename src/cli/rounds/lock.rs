//! The lock of an output folder, which only one round holds, or several that share its campaigns.
//!
//! In: the output folder. Out: [`Lock`], held until it goes out of scope.
//! This module never waits, and never breaks a lock: the system releases that of a process that is gone.

use std::fs::{self, File, TryLockError};
use std::io::Write;
use std::path::{Path, PathBuf};

use residuum::error::Error;

use super::KEPT;
use crate::cli::faults::{not_written, unwritable};
use crate::cli::publish::one_part;

/// The right to write below an output folder.
#[derive(Debug)]
pub(super) struct Lock(#[expect(dead_code, reason = "held, never read")] File);

/// Takes the lock of an output folder, which is made if it is not there.
///
/// # Errors
/// [`ErrorKind::Unwritable`](residuum::error::ErrorKind::Unwritable) when another round holds it, or when the folder cannot be written.
pub(super) fn take(out: &Path) -> Result<Lock, Error> {
    let (path, mut file) = opened(&out.join(KEPT), "lock")?;
    told(out, &path, file.try_lock())?;
    // The number only helps whoever reads the message; a full disk is no reason to stop here.
    let _ = file
        .set_len(0)
        .and_then(|()| file.write_all(format!("{}\n", std::process::id()).as_bytes()));
    Ok(Lock(file))
}

/// Takes part in the work on an output folder with others that do so, but with no round over all campaigns.
///
/// # Errors
/// As for [`take`].
pub(super) fn join(out: &Path) -> Result<Lock, Error> {
    let (path, file) = opened(&out.join(KEPT), "lock")?;
    told(out, &path, file.try_lock_shared())?;
    Ok(Lock(file))
}

/// Takes one campaign of those that several work on; none where another one has it.
///
/// # Errors
/// As for [`take`].
pub(super) fn take_one(out: &Path, name: &str) -> Result<Option<Lock>, Error> {
    let (path, file) = opened(&out.join(KEPT).join("locks"), &one_part(name))?;
    match file.try_lock() {
        Err(TryLockError::WouldBlock) => Ok(None),
        other => told(out, &path, other).map(|()| Some(Lock(file))),
    }
}

fn opened(folder: &Path, name: &str) -> Result<(PathBuf, File), Error> {
    fs::create_dir_all(folder).map_err(|error| not_written(folder, &error))?;
    let path = folder.join(name);
    let mut asked = File::options();
    asked.create(true).truncate(false).read(true).write(true);
    let file = asked
        .open(&path)
        .map_err(|error| not_written(&path, &error))?;
    Ok((path, file))
}

fn told(out: &Path, path: &Path, locked: Result<(), TryLockError>) -> Result<(), Error> {
    match locked {
        Ok(()) => Ok(()),
        Err(TryLockError::WouldBlock) => {
            let holder = fs::read_to_string(path).unwrap_or_default();
            let holder = holder.trim().parse::<u32>().ok();
            let holder = holder.map_or_else(String::new, |id| format!(" (process {id})"));
            let what = format!("another round is at work in `{}`{holder}", out.display());
            let hint = "wait until it is done; a round that was killed holds nothing";
            Err(unwritable(what, hint))
        }
        Err(TryLockError::Error(error)) => {
            let what = format!("`{}` cannot be locked: {error}", path.display());
            let hint = "choose an output folder on a file system that knows locks with `--out`";
            Err(unwritable(what, hint))
        }
    }
}
