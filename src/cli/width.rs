//! The width of the terminal.
//!
//! In: the streams of the program. Out: a [`Width`]: the columns of a terminal, unbounded for a pipe or a file.
//! This module never guesses: a terminal that does not tell is taken as unbounded.

use std::io;

use residuum::report::Width;

/// How wide a line on stdout may be.
pub(super) fn of_stdout() -> Width {
    width(io::stdout())
}

/// How wide a line on stderr may be.
pub(super) fn of_stderr() -> Width {
    width(io::stderr())
}

#[cfg(unix)]
fn width(stream: impl std::os::fd::AsFd) -> Width {
    // A pipe or a file refuses the question; some terminals answer it with 0.
    match rustix::termios::tcgetwinsize(stream).map(|size| size.ws_col) {
        Ok(columns @ 1..) => Width::Columns(usize::from(columns)),
        Ok(0) | Err(_) => Width::Unbounded,
    }
}

#[cfg(not(unix))]
fn width(_stream: impl Sized) -> Width {
    Width::Unbounded
}
