//! The output of a call: data on stdout, everything else on stderr.
//!
//! In: what a call found, finished texts. Out: how the call ended; an error where stdout does not take its text.
//! This module never panics on a stream that is closed, and never hands a terminal what would steer it.

use std::io::{self, Write};

use residuum::caveat::Caveat;
use residuum::error::{Error, Faults};
use residuum::intake::LeftOut;
use residuum::report::{terminal, visible, wrapped};
use residuum::result::WholeResult;
use serde::Serialize;

use super::faults::unwritable;
use super::width::of_stderr;
use super::{Common, Ending};

/// What a call found, as it is told.
pub(super) struct Told {
    /// What goes to stdout.
    pub output: String,
    /// Rows that could not be used and runs set aside.
    pub left_out: Vec<LeftOut>,
    /// Doubts about what is printed.
    pub caveats: Vec<Caveat>,
    /// The doubts that are told here; `None` for all of them. The report lists the others, which are only counted.
    pub shown: Option<Vec<Caveat>>,
}

impl Told {
    /// An output with what is told beside it.
    pub fn of(output: String, left_out: Vec<LeftOut>, caveats: Vec<Caveat>) -> Self {
        Told {
            output,
            left_out,
            caveats,
            shown: None,
        }
    }
}

/// What a call prints: its text, or the same as one JSON object where that is asked for.
pub(super) fn output(
    common: &Common,
    text: impl FnOnce() -> String,
    result: impl FnOnce() -> WholeResult,
) -> String {
    if common.json {
        one_object(&result())
    } else {
        text()
    }
}

/// A result on one line.
pub(super) fn one_object(result: &impl Serialize) -> String {
    // A result holds texts, numbers and lists alone, and those can always be written.
    format!("{}\n", serde_json::to_string(result).unwrap_or_default())
}

/// Tells what a call found, and ends it as `--strict` asks.
///
/// Rows left out and doubts go to stderr, unless the user wants it quiet or gets them in the JSON.
pub(super) fn told(common: &Common, found: Result<Told, Faults>) -> Ending {
    let told = match found {
        Ok(told) => told,
        Err(faults) => return failed(&faults),
    };
    if !common.quiet && !common.json {
        remark(&terminal::left_out(&told.left_out));
        match &told.shown {
            None => remark(&terminal::caveats(&told.caveats)),
            Some(shown) => {
                remark(&terminal::caveats_by_kind(shown));
                let others = told.caveats.len() - shown.len();
                remark(&terminal::doubts_listed(others, !shown.is_empty()));
            }
        }
    }
    let faulty = !told.caveats.is_empty() || told.left_out.iter().any(|row| !row.on_purpose);
    ended(&told.output, Ending::flagged(common.strict && faulty))
}

/// Writes data to stdout, [`visible`] all of it. A reader that closed the pipe early is no fault of ours; a full disk is one.
///
/// # Errors
/// [`ErrorKind::Unwritable`](residuum::error::ErrorKind::Unwritable) for anything but a broken pipe.
pub(super) fn print(text: &str) -> Result<(), Error> {
    let mut stdout = io::stdout().lock();
    forgiving(
        stdout
            .write_all(visible(text).as_bytes())
            .and_then(|()| stdout.flush()),
    )
}

/// The outcome of writing to stdout, a broken pipe forgiven.
///
/// # Errors
/// [`ErrorKind::Unwritable`](residuum::error::ErrorKind::Unwritable) for anything but a broken pipe.
pub(super) fn forgiving(written: io::Result<()>) -> Result<(), Error> {
    match written {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            let what = format!("the standard output cannot be written: {error}");
            Err(unwritable(
                what,
                "check where it is sent to, and whether there is room",
            ))
        }
        _ => Ok(()),
    }
}

/// Tells which arguments are wrong: with colours, unless a line has to be wrapped or holds what would steer the terminal.
pub(super) fn wrong_arguments(error: &clap::Error) {
    let text = error.render().to_string();
    if wrapped(&visible(&text), of_stderr()) == text {
        let _ = error.print();
    } else {
        remark(&text);
    }
}

/// Writes to stderr, [`visible`] all of it; where nobody reads there, the exit code still tells how it ended.
pub(super) fn remark(text: &str) {
    let text = wrapped(&visible(text), of_stderr());
    let _ = io::stderr().write_all(text.as_bytes());
}

/// Tells what could not be done.
pub(super) fn failed(faults: &Faults) -> Ending {
    let told = terminal::faults(faults.errors()).into_iter();
    let told: Vec<String> = told.map(|cause| format!("error: {cause}")).collect();
    remark(&format!("{}\n", told.join("\n\n")));
    Ending::Failed
}

/// Writes data to stdout and ends as told, or fails where it cannot be written.
pub(super) fn ended(text: &str, ending: Ending) -> Ending {
    match print(text) {
        Ok(()) => ending,
        Err(error) => failed(&error.into()),
    }
}
