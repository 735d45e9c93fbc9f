//! What the user sees: data on stdout, everything else on stderr.
//!
//! In: finished texts. Out: an error where stdout does not take its text.
//! This module never panics on a stream that is closed.

use std::io::{self, Write};

use residuum::error::{Error, ErrorKind, Faults};
use residuum::report::wrapped;

use super::Ending;
use super::width::of_stderr;

/// Writes data to stdout. A reader that closed the pipe early is no fault of ours; a full disk is one.
///
/// # Errors
/// [`ErrorKind::Unwritable`] for anything but a broken pipe.
pub(super) fn print(text: &str) -> Result<(), Error> {
    let mut stdout = io::stdout().lock();
    forgiving(
        stdout
            .write_all(text.as_bytes())
            .and_then(|()| stdout.flush()),
    )
}

/// The outcome of writing to stdout, a broken pipe forgiven.
///
/// # Errors
/// [`ErrorKind::Unwritable`] for anything but a broken pipe.
pub(super) fn forgiving(written: io::Result<()>) -> Result<(), Error> {
    match written {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => Err(Error::new(
            ErrorKind::Unwritable,
            format!("the standard output cannot be written: {error}"),
        )
        .hint("check where it is sent to, and whether there is room")),
        _ => Ok(()),
    }
}

/// Tells which arguments are wrong: with colours, unless a line has to be wrapped.
pub(super) fn wrong_arguments(error: &clap::Error) {
    let text = error.render().to_string();
    if wrapped(&text, of_stderr()) == text {
        let _ = error.print();
    } else {
        remark(&text);
    }
}

/// Writes to stderr; where nobody reads there, the exit code still tells how it ended.
pub(super) fn remark(text: &str) {
    let text = wrapped(text, of_stderr());
    let _ = io::stderr().write_all(text.as_bytes());
}

/// Tells what could not be done.
pub(super) fn failed(faults: &Faults) -> Ending {
    remark(&format!("{faults}\n"));
    Ending::Failed
}

/// Writes data to stdout and ends as told, or fails where it cannot be written.
pub(super) fn ended(text: &str, ending: Ending) -> Ending {
    match print(text) {
        Ok(()) => ending,
        Err(error) => failed(&error.into()),
    }
}
