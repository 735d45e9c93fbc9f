//! What stands in the files of the logs and is used by no result, or under another name.
//!
//! In: nothing. Out: [`LogFile`], [`LeftOut`], [`PassedIn`], [`UsedAs`], [`Superseded`].
//! This module never reads a file.

use crate::campaign::LogKind;
use crate::error::{Error, Place};
use crate::sheets::{Note, PassedOver};

/// One log file: which log it is, what messages call it, and its bytes.
#[derive(Debug, Clone)]
pub struct LogFile {
    /// Which log.
    pub kind: LogKind,
    /// Its path, relative to the campaign file.
    pub file: String,
    /// Which sheet or table of the file: what stands behind `#`.
    pub part: Option<String>,
    /// The whole content.
    pub bytes: Vec<u8>,
}

impl LogFile {
    /// Name for messages.
    pub fn name(&self) -> String {
        match &self.part {
            Some(part) => format!("{}#{part}", self.file),
            None => self.file.clone(),
        }
    }
}

/// What a file holds besides the rows of a log.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PassedIn {
    /// The file.
    pub file: String,
    /// How it had to be read.
    pub notes: Vec<Note>,
    /// Lines that are no rows.
    pub passed: Vec<PassedOver>,
}

/// A heading that is used for a column although it is spelt in another way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UsedAs {
    /// The file.
    pub file: String,
    /// The heading as written.
    pub heading: String,
    /// Name of the column.
    pub name: String,
}

/// A row that could not be used, or a run set aside on purpose.
#[derive(Debug, Clone)]
pub struct LeftOut {
    /// Where in the log.
    pub place: Place,
    /// The run concerned, where the row names one.
    pub run: Option<String>,
    /// What is wrong and what to do.
    pub error: Error,
    /// Whether it was a decision of the chemist, not a fault.
    pub on_purpose: bool,
}

impl LeftOut {
    /// A row that a fault leaves out, with the run that it names; its place is that of the fault.
    pub fn new(run: Option<&str>, error: Error) -> Self {
        let file = error.file().unwrap_or_default();
        Self {
            place: Place::new(file, error.line().unwrap_or_default()),
            run: run.map(str::to_string),
            error,
            on_purpose: false,
        }
    }
}

/// A line of the runs log in whose place a later version of it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Superseded {
    /// Where it stands.
    pub place: Place,
    /// The run of both.
    pub run: String,
    /// Its revision as written.
    pub revision: Option<String>,
    /// Where the line stands that counts.
    pub by: Place,
}
