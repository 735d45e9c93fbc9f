//! The content of an ordinary file of bounded size.
//!
//! In: a path, what messages call it, the most bytes that are read. Out: its bytes.
//! This module never waits for a pipe or a device, and never holds more than it was asked for.

use std::fs::{self, File, Metadata};
use std::io::{self, Read};
use std::path::Path;

use residuum::error::Error;

use super::faults::unreadable;

/// Most bytes of one log; a run takes about 100.
pub(super) const MOST_OF_A_LOG: u64 = 512_000_000;

/// Most bytes of all logs of a campaign together.
pub(super) const MOST_OF_ALL_LOGS: u64 = 1_000_000_000;

/// Most bytes of a campaign file.
pub(super) const MOST_OF_A_CAMPAIGN_FILE: u64 = 16_000_000;

/// Reads an ordinary file by a path without links: a pipe or a device might never end, and is not even opened.
///
/// # Errors
/// What the system says, and why a file is not read.
pub(super) fn bytes(path: &Path, name: &str, most: u64) -> Result<Vec<u8>, Error> {
    let not_read = |error: io::Error| {
        let what = format!("`{name}` cannot be read: {error}");
        unreadable(what, "check the path and who may read it").in_file(name)
    };
    let metadata = fs::metadata(path).map_err(not_read)?;
    is_ordinary(&metadata, name)?;
    if metadata.len() > most {
        return Err(too_long(name, most));
    }
    let mut bytes = Vec::new();
    let file = open(path).map_err(not_read)?;
    // Something else may have taken its place since it was looked at.
    is_ordinary(&file.metadata().map_err(not_read)?, name)?;
    // One byte more, so that a file that grows meanwhile is told and not cut.
    file.take(most + 1)
        .read_to_end(&mut bytes)
        .map_err(not_read)?;
    match bytes.len() as u64 > most {
        true => Err(too_long(name, most)),
        false => Ok(bytes),
    }
}

/// Opens a file without waiting for anybody at its other end, and where the system can without following a link that was put there
/// since the path was looked at.
fn open(path: &Path) -> io::Result<File> {
    #[cfg(target_os = "linux")]
    {
        use rustix::fs::{CWD, Mode, OFlags, ResolveFlags, openat2};
        let flags = OFlags::RDONLY | OFlags::NONBLOCK | OFlags::NOCTTY | OFlags::CLOEXEC;
        match openat2(CWD, path, flags, Mode::empty(), ResolveFlags::NO_SYMLINKS) {
            Ok(file) => return Ok(file.into()),
            // A system, or a box around the program, that does not know the call.
            Err(rustix::io::Errno::NOSYS | rustix::io::Errno::PERM) => {}
            Err(error) => return Err(error.into()),
        }
    }
    let mut options = File::options();
    options.read(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        let flags = rustix::fs::OFlags::NONBLOCK | rustix::fs::OFlags::NOCTTY;
        options.custom_flags(flags.bits() as i32);
    }
    options.open(path)
}

/// Bytes of a file as the system tells them; none where it tells nothing.
pub(super) fn size(path: &Path) -> u64 {
    fs::metadata(path).map_or(0, |metadata| metadata.len())
}

/// Some bytes in megabytes.
pub(super) fn megabytes(bytes: u64) -> String {
    format!("{} MB", bytes.div_ceil(1_000_000))
}

fn is_ordinary(metadata: &Metadata, name: &str) -> Result<(), Error> {
    let (what, hint) = match metadata {
        metadata if metadata.is_file() => return Ok(()),
        metadata if metadata.is_dir() => (
            format!("`{name}` is a folder, not a file"),
            "name the file, or all CSV files in the folder: `furnace/*.csv`",
        ),
        _ => (
            format!("`{name}` is no ordinary file"),
            "write the log into a file first; pipes and devices are not read",
        ),
    };
    Err(unreadable(what, hint).in_file(name))
}

fn too_long(name: &str, most: u64) -> Error {
    let what = format!("`{name}` holds more than {}", megabytes(most));
    let hint = "check that it is the file you mean: a log of a campaign is far shorter";
    unreadable(what, hint).in_file(name)
}
