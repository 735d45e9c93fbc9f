//! The text of `result.json`.
//!
//! In: a result, what stands in it besides, and how its figures are rounded. Out: JSON, a key a line, each figure rounded as it is written.
//! This module never holds the result a second time: of many runs it is large.

use std::io::{Result, Write};

use serde::Serialize;
use serde_json::ser::{Formatter, PrettyFormatter};
use serde_json::{Map, Serializer, Value};

/// A result with what stands below it in the file.
#[derive(Serialize)]
struct Kept<'a, Of> {
    #[serde(flatten)]
    result: &'a Of,
    #[serde(flatten)]
    besides: &'a Map<String, Value>,
}

/// A key a line, figures rounded.
struct Rounded {
    lines: PrettyFormatter<'static>,
    round: fn(f64) -> f64,
}

/// The whole file; keys that stand besides come last.
pub fn text(
    result: &impl Serialize,
    besides: &Map<String, Value>,
    round: fn(f64) -> f64,
) -> String {
    let mut bytes = Vec::new();
    let lines = PrettyFormatter::new();
    let mut into = Serializer::with_formatter(&mut bytes, Rounded { lines, round });
    // Writing into memory does not fail, and all keys are text.
    let written = Kept { result, besides }.serialize(&mut into);
    let text = written.ok().and_then(|()| String::from_utf8(bytes).ok());
    text.unwrap_or_default() + "\n"
}

impl Formatter for Rounded {
    fn write_f64<W: ?Sized + Write>(&mut self, writer: &mut W, value: f64) -> Result<()> {
        self.lines.write_f64(writer, (self.round)(value))
    }

    fn begin_array<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.lines.begin_array(writer)
    }

    fn end_array<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.lines.end_array(writer)
    }

    fn begin_array_value<W: ?Sized + Write>(&mut self, writer: &mut W, first: bool) -> Result<()> {
        self.lines.begin_array_value(writer, first)
    }

    fn end_array_value<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.lines.end_array_value(writer)
    }

    fn begin_object<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.lines.begin_object(writer)
    }

    fn end_object<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.lines.end_object(writer)
    }

    fn begin_object_key<W: ?Sized + Write>(&mut self, writer: &mut W, first: bool) -> Result<()> {
        self.lines.begin_object_key(writer, first)
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.lines.begin_object_value(writer)
    }

    fn end_object_value<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.lines.end_object_value(writer)
    }
}
