//! The lock of an output folder, which only one round holds.
//!
//! In: the output folder. Out: [`Lock`], held until it goes out of scope.
//! This module never waits, and never breaks a lock: the system releases that of a process that is gone.

use std::fs::{self, File, TryLockError};
use std::io::Write;
use std::path::Path;

use residuum::error::Error;

use super::KEPT;
use crate::cli::faults::{not_written, unwritable};

/// The right to write below an output folder.
#[derive(Debug)]
pub(super) struct Lock(#[expect(dead_code, reason = "held, never read")] File);

/// Takes the lock of an output folder, which is made if it is not there.
///
/// # Errors
/// [`ErrorKind::Unwritable`](residuum::error::ErrorKind::Unwritable) when another round holds it, or when the folder cannot be written.
pub(super) fn take(out: &Path) -> Result<Lock, Error> {
    let kept = out.join(KEPT);
    fs::create_dir_all(&kept).map_err(|error| not_written(&kept, &error))?;
    let path = kept.join("lock");
    let mut file = File::options()
        .create(true)
        .truncate(false)
        .read(true)
        .write(true)
        .open(&path)
        .map_err(|error| not_written(&path, &error))?;
    match file.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => {
            let holder = fs::read_to_string(&path).unwrap_or_default();
            let holder = holder.trim().parse::<u32>().ok();
            let holder = holder.map_or_else(String::new, |id| format!(" (process {id})"));
            let what = format!("another round is at work in `{}`{holder}", out.display());
            let hint = "wait until it is done; a round that was killed holds nothing";
            return Err(unwritable(what, hint));
        }
        Err(TryLockError::Error(error)) => {
            let what = format!("`{}` cannot be locked: {error}", path.display());
            let hint = "choose an output folder on a file system that knows locks with `--out`";
            return Err(unwritable(what, hint));
        }
    }
    // The number only helps whoever reads the message; a full disk is no reason to stop here.
    let _ = file
        .set_len(0)
        .and_then(|()| file.write_all(format!("{}\n", std::process::id()).as_bytes()));
    Ok(Lock(file))
}
