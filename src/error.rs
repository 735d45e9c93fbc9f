//! Faults: what went wrong, where, and what to do about it.
//!
//! In: a message, its kind, its place and what it has in common with others. Out: [`Error`], its [`Place`] and [`Cause`], and
//! [`Faults`], a list that is never empty.
//! This module never prints, and never decides whether a fault stops the work.

use std::fmt;

use crate::name::Name;

/// What sort of fault an [`Error`] is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ErrorKind {
    /// A file or folder could not be read, or is not the kind of thing it should be.
    Unreadable,
    /// A log without any row.
    Empty,
    /// A log without a column that is needed.
    MissingColumn,
    /// A heading with a unit that does not fit, or with the meaning of another one.
    Heading,
    /// The same run stands twice in the runs log.
    DuplicatedRun,
    /// A level that no run has any more, because the runs that have it are left out.
    LeftOut,
    /// The campaign file is faulty.
    Campaign,
    /// A chemical formula that cannot be read.
    Formula,
    /// A cell that should be a number and is not a finite one.
    NotANumber,
    /// A charge or a mass that is zero or negative.
    NotPositive,
    /// A number outside the range that it can have.
    OutOfRange,
    /// A needed cell is empty.
    Missing,
    /// A name that stands nowhere else: lot, run, titrant, level.
    UnknownName,
    /// A row whose cells cannot be told apart.
    BadRow,
    /// A model that cannot be fitted.
    Model,
    /// Output that could not be written.
    Unwritable,
}

/// A line of a file, which a message calls `` `runs.csv` line 14 ``.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Place {
    /// The file, as the campaign names it.
    pub file: Name,
    /// The line, counted from 1.
    pub line: usize,
}

impl Place {
    /// That line of that file.
    pub fn new(file: impl Into<Name>, line: usize) -> Self {
        let file = file.into();
        Self { file, line }
    }

    /// A fault there, with advice on what to do.
    pub fn fault(
        &self,
        kind: ErrorKind,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) -> Error {
        Error::new(kind, message).at(self).hint(hint)
    }

    /// A fault of a cell there: `what` goes on behind "column `x` in `file` line n", and is told once for all cells of its kind.
    pub fn cell(
        &self,
        kind: ErrorKind,
        column: &str,
        what: &str,
        value: Option<&str>,
        hint: impl Into<String>,
    ) -> Error {
        let message = format!("column `{column}` in {self} {what}{}", behind(value));
        let fault = self.fault(kind, message, hint).in_column(column);
        fault.alike(Cause::Cells(what.into()), value)
    }

    /// A fault of something there that a noun names, such as an unknown lot, and what it is called.
    pub fn thing(
        &self,
        kind: ErrorKind,
        noun: &str,
        value: Option<&str>,
        hint: impl Into<String>,
    ) -> Error {
        let message = format!("{noun} in {self}{}", behind(value));
        let fault = self.fault(kind, message, hint);
        fault.alike(Cause::Things(noun.into()), value)
    }
}

/// A value at the end of a message.
fn behind(value: Option<&str>) -> String {
    value.map_or_else(String::new, |value| format!(": `{value}`"))
}

/// What faults of one cause have in common, apart from where they stand and what stands there.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cause {
    /// Cells of which the same is wrong, as a message says it of one: `is not a number`.
    Cells(String),
    /// Anything else, as a noun: `unknown lot`.
    Things(String),
}

/// What is wrong with several cells, from what a message says of one: `hold no number` from `is not a number`.
pub fn of_many(what: &str) -> String {
    let (verb, rest) = what.split_once(' ').unwrap_or((what, ""));
    let nouns = ["is not a ", "is no "];
    let noun = nouns.iter().find_map(|is| what.strip_prefix(is));
    match (noun, verb) {
        (Some(noun), _) => format!("hold no {noun}"),
        (None, "is") => format!("are {rest}"),
        (None, verb) => format!("{} {rest}", verb.strip_suffix('s').unwrap_or(verb)),
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` line {}", self.file, self.line)
    }
}

/// One fault: what is wrong with which value, where, and a hint.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Error {
    /// Kept apart, so that a result without a fault stays small.
    parts: Box<Parts>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
struct Parts {
    kind: ErrorKind,
    message: String,
    file: Option<String>,
    line: Option<usize>,
    column: Option<String>,
    hint: Option<String>,
    shared_hint: Option<String>,
    near: Option<String>,
    cause: Option<Cause>,
    value: Option<String>,
}

impl Error {
    /// A fault without a place; the message starts in lower case and has no full stop.
    pub fn new(kind: ErrorKind, message: impl Into<String>) -> Self {
        let parts = Parts {
            kind,
            message: message.into(),
            file: None,
            line: None,
            column: None,
            hint: None,
            shared_hint: None,
            near: None,
            cause: None,
            value: None,
        };
        Self {
            parts: Box::new(parts),
        }
    }

    /// The same fault with the file it was found in.
    pub fn in_file(mut self, file: impl Into<String>) -> Self {
        self.parts.file = Some(file.into());
        self
    }

    /// The same fault with its line, counted from 1.
    pub fn on_line(mut self, line: usize) -> Self {
        self.parts.line = Some(line);
        self
    }

    /// The same fault with its file and line.
    pub fn at(self, place: &Place) -> Self {
        self.in_file(&place.file).on_line(place.line)
    }

    /// The same fault with the heading of its column.
    pub fn in_column(mut self, column: impl Into<String>) -> Self {
        self.parts.column = Some(column.into());
        self
    }

    /// The same fault with advice on what to do.
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.parts.hint = Some(hint.into());
        self
    }

    /// The same fault with what it has in common with others, and the value that is its own.
    pub fn alike(mut self, cause: Cause, value: Option<&str>) -> Self {
        self.parts.cause = Some(cause);
        self.parts.value = value.map(str::to_string);
        self
    }

    /// What sort of fault it is.
    pub fn kind(&self) -> ErrorKind {
        self.parts.kind
    }

    /// What is wrong, in one sentence without a full stop.
    pub fn message(&self) -> &str {
        &self.parts.message
    }

    /// The file it was found in, as the campaign names it.
    pub fn file(&self) -> Option<&str> {
        self.parts.file.as_deref()
    }

    /// The line it was found on, counted from 1.
    pub fn line(&self) -> Option<usize> {
        self.parts.line
    }

    /// The heading of the column it was found in.
    pub fn column(&self) -> Option<&str> {
        self.parts.column.as_deref()
    }

    /// The same fault with the name that was likely meant, and advice that others of its cause have in common.
    pub fn near(mut self, near: Option<&str>, hint: impl Into<String>) -> Self {
        let hint = hint.into();
        let own = near.map(|near| format!("did you mean `{near}`? {hint}"));
        self.parts.hint = Some(own.unwrap_or_else(|| hint.clone()));
        self.parts.shared_hint = Some(hint);
        self.parts.near = near.map(str::to_string);
        self
    }

    /// The name that was likely meant.
    pub fn likely(&self) -> Option<&str> {
        self.parts.near.as_deref()
    }

    /// What it has in common with others; `None` for a fault that stands alone.
    pub fn cause(&self) -> Option<&Cause> {
        self.parts.cause.as_ref()
    }

    /// The value that is wrong, where one is.
    pub fn value(&self) -> Option<&str> {
        self.parts.value.as_deref()
    }

    /// What to do about it.
    pub fn advice(&self) -> Option<&str> {
        self.parts.hint.as_deref()
    }

    /// What to do about it and all others of its cause.
    pub fn shared_advice(&self) -> Option<&str> {
        self.parts.shared_hint.as_deref().or(self.advice())
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.parts.message)?;
        if let Some(hint) = &self.parts.hint {
            write!(f, "\n\nhint: {hint}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Error {}

/// All faults of one stage, in the order in which they were found; never empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Faults(Vec<Error>);

impl Faults {
    /// The faults of a stage, or its value when there is none.
    ///
    /// # Errors
    /// The faults themselves when there is at least one.
    pub fn or<T>(faults: Vec<Error>, value: T) -> Result<T, Faults> {
        if faults.is_empty() {
            Ok(value)
        } else {
            Err(Faults(faults))
        }
    }

    /// The single faults.
    pub fn errors(&self) -> &[Error] {
        &self.0
    }

    /// The single faults, taken out.
    pub fn into_errors(self) -> Vec<Error> {
        self.0
    }
}

impl From<Error> for Faults {
    fn from(error: Error) -> Self {
        Faults(vec![error])
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (position, error) in self.0.iter().enumerate() {
            if position > 0 {
                write!(f, "\n\n")?;
            }
            write!(f, "error: {error}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hint_stands_apart_from_the_message() {
        let error = Error::new(ErrorKind::NotANumber, "`12,4` is not a number").hint("use a point");
        assert_eq!(
            Faults::from(error).to_string(),
            "error: `12,4` is not a number\n\nhint: use a point"
        );
    }

    #[test]
    fn a_cell_says_what_it_has_in_common_with_others() {
        let place = Place::new("runs.csv", 14);
        let kind = ErrorKind::NotANumber;
        let error = place.cell(
            kind,
            "mass / g",
            "is not a number",
            Some("2o3"),
            "write it anew",
        );
        assert_eq!(
            error.message(),
            "column `mass / g` in `runs.csv` line 14 is not a number: `2o3`"
        );
        let cause = Cause::Cells("is not a number".into());
        assert_eq!((error.cause(), error.value()), (Some(&cause), Some("2o3")));
        let error = place.thing(ErrorKind::UnknownName, "unknown lot", Some("Q"), "log it");
        assert_eq!(error.message(), "unknown lot in `runs.csv` line 14: `Q`");
        assert_eq!(error.cause(), Some(&Cause::Things("unknown lot".into())));
    }

    #[test]
    fn what_is_wrong_with_one_cell_is_said_of_many() {
        for (one, many) in [
            ("is not a number", "hold no number"),
            ("is no time", "hold no time"),
            ("is not above zero", "are not above zero"),
            ("is empty", "are empty"),
            (
                "holds a word for a missing value",
                "hold a word for a missing value",
            ),
            ("names 2 shares for 3 lots", "name 2 shares for 3 lots"),
        ] {
            assert_eq!(of_many(one), many);
        }
    }

    #[test]
    fn no_faults_give_the_value() {
        assert_eq!(Faults::or(vec![], 3), Ok(3));
    }
}
