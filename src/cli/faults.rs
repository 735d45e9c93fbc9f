//! Faults of files and folders, each with what to do.
//!
//! In: what cannot be read or written. Out: an [`Error`].
//! This module never touches a file.

use std::io;
use std::path::Path;
use std::time::Duration;

use residuum::error::{Error, ErrorKind};

/// Something that cannot be read.
pub(super) fn unreadable(what: String, hint: &str) -> Error {
    Error::new(ErrorKind::Unreadable, what).hint(hint)
}

/// Something that cannot be written, or stands in the way of writing.
pub(super) fn unwritable(what: String, hint: &str) -> Error {
    Error::new(ErrorKind::Unwritable, what).hint(hint)
}

/// Something that a campaign file lacks.
pub(super) fn lacking(file: &str, what: String, hint: &str) -> Error {
    Error::new(ErrorKind::Campaign, what)
        .in_file(file)
        .hint(hint)
}

/// What the system says where a path cannot be written.
pub(super) fn not_written(path: &Path, error: &io::Error) -> Error {
    let what = format!("`{}` cannot be written: {error}", path.display());
    unwritable(
        what,
        "check that the folder may be written and has room, or choose another with `--out`",
    )
}

/// What the system says where the program cannot be started without variables that a library reads.
pub(super) fn not_started_again(error: &io::Error) -> Error {
    let what = format!(
        "the program cannot be started again without the variables of its libraries: {error}"
    );
    unreadable(
        what,
        "unset every variable that begins with `POLARS_` or `RAYON_`",
    )
}

/// A word that is asked for and that nothing here explains.
pub(super) fn unknown_word(word: &str, known: &str) -> Error {
    Error::new(
        ErrorKind::UnknownName,
        format!("`{word}` is no word of a report"),
    )
    .hint(known)
}

/// What is told of a campaign that was ended.
pub(super) fn too_long(limit: Duration) -> Error {
    let what = format!(
        "it took longer than {} s and was ended",
        limit.as_secs_f64()
    );
    Error::new(ErrorKind::Model, what).hint(
        "look for a log that is far larger than the others, or give it more time with `--limit`",
    )
}
