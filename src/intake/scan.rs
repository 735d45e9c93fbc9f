//! How a log file is laid out: encoding, separator, lines.
//!
//! In: the bytes of a file. Out: [`Layout`], one text a record with the line it starts on.
//! This module never reads a value.

use crate::campaign::Decimal;
use crate::error::{Error, ErrorKind, Faults};

/// A log file cut into records.
pub(super) struct Layout {
    /// Separator of the cells.
    pub separator: char,
    /// Records that hold anything, the heading first.
    pub records: Vec<Record>,
}

/// One record: usually a line, more when a quoted cell holds a line break.
pub(super) struct Record {
    /// Line of the file it starts on, counted from 1.
    pub line: usize,
    /// Its text, without the line end.
    pub text: String,
}

/// Separators that are tried, in this order, when the campaign names none.
const SEPARATORS: [char; 4] = [',', ';', '\t', '|'];

/// Cuts a file into records.
///
/// # Errors
/// Not UTF-8, an unclosed quote, an empty file or one with nothing but a heading.
pub(super) fn layout(
    file: &str,
    bytes: &[u8],
    separator: Option<char>,
    decimal: Decimal,
) -> Result<Layout, Faults> {
    let text = decode(file, bytes)?;
    let records = records(file, text)?;
    let Some(heading) = records.first() else {
        return Err(Error::new(ErrorKind::Empty, format!("`{file}` is empty"))
            .in_file(file)
            .hint("a log has one line of headings and one row for each entry")
            .into());
    };
    let separator = separator.unwrap_or_else(|| likeliest(&records, decimal));
    if records.len() == 1 {
        return Err(Error::new(
            ErrorKind::Empty,
            format!("`{file}` has headings but no row"),
        )
        .in_file(file)
        .on_line(heading.line)
        .hint("write the first row, or take the log out of `[logs]`")
        .into());
    }
    let records = records
        .into_iter()
        .enumerate()
        .filter(|(position, record)| {
            *position == 0
                || record
                    .text
                    .chars()
                    .any(|c| c != separator && !c.is_whitespace() && c != '"')
        })
        .map(|(_, record)| record)
        .collect();
    Ok(Layout { separator, records })
}

fn decode<'b>(file: &str, bytes: &'b [u8]) -> Result<&'b str, Error> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        let line = 1 + bytes[..error.valid_up_to()]
            .iter()
            .filter(|b| **b == b'\n')
            .count();
        Error::new(
            ErrorKind::Unreadable,
            format!("`{file}` line {line} is not UTF-8 text"),
        )
        .in_file(file)
        .on_line(line)
        .hint("save the log as CSV in UTF-8")
    })
}

fn records(file: &str, text: &str) -> Result<Vec<Record>, Error> {
    let mut records = Vec::new();
    let mut line = 1;
    let mut start_line = 1;
    let mut current = String::new();
    let mut quoted = false;
    let mut characters = text.chars().peekable();
    while let Some(c) = characters.next() {
        let line_end = c == '\n' || c == '\r';
        if c == '\r' && characters.peek() == Some(&'\n') {
            characters.next();
        }
        if c == '"' {
            quoted = !quoted;
        }
        if !line_end {
            current.push(c);
            continue;
        }
        line += 1;
        if quoted {
            current.push('\n');
            continue;
        }
        push(&mut records, start_line, &mut current);
        start_line = line;
    }
    if quoted {
        return Err(Error::new(
            ErrorKind::BadRow,
            format!("a quote in `{file}` line {start_line} is never closed"),
        )
        .in_file(file)
        .on_line(start_line)
        .hint("close it, or write a quote inside a cell twice"));
    }
    push(&mut records, start_line, &mut current);
    Ok(records)
}

fn push(records: &mut Vec<Record>, line: usize, current: &mut String) {
    if !current.trim().is_empty() {
        records.push(Record {
            line,
            text: std::mem::take(current),
        });
    }
    current.clear();
}

/// How many cells a record has.
pub(super) fn cell_count(text: &str, separator: char) -> usize {
    let mut quoted = false;
    let mut count = 1;
    for c in text.chars() {
        if c == '"' {
            quoted = !quoted;
        } else if c == separator && !quoted {
            count += 1;
        }
    }
    count
}

/// The separator that gives the heading most cells, with as many in the rows as a tie-break.
fn likeliest(records: &[Record], decimal: Decimal) -> char {
    let mut best = SEPARATORS[0];
    let mut best_score = (0, 0);
    for separator in SEPARATORS {
        if separator == ',' && decimal == Decimal::Comma {
            continue;
        }
        let cells = cell_count(&records[0].text, separator);
        if cells < 2 {
            continue;
        }
        let alike = records
            .iter()
            .take(50)
            .filter(|record| cell_count(&record.text, separator) == cells)
            .count();
        if (alike, cells) > best_score {
            best_score = (alike, cells);
            best = separator;
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lay_out(text: &str) -> Result<Layout, Faults> {
        layout("log.csv", text.as_bytes(), None, Decimal::Point)
    }

    #[test]
    fn a_byte_order_mark_and_windows_line_ends_are_no_matter() {
        let layout = lay_out("\u{feff}run;mass\r\n\r\nA;1\r\n;;\r\nB;2").unwrap();
        assert_eq!(layout.separator, ';');
        let lines: Vec<usize> = layout.records.iter().map(|r| r.line).collect();
        assert_eq!(lines, [1, 3, 5]);
        assert_eq!(layout.records[0].text, "run;mass");
    }

    #[test]
    fn a_quoted_cell_may_hold_a_line_break_and_a_separator() {
        let layout = lay_out("run,note\nA,\"two\nlines, here\"\nB,x\n").unwrap();
        assert_eq!(layout.records.len(), 3);
        assert_eq!(layout.records[2].line, 4);
        assert_eq!(cell_count(&layout.records[1].text, ','), 2);
    }

    #[test]
    fn decimal_commas_do_not_pass_for_separators() {
        let text = "run;mass\nA;1,5\nB;2,5\n";
        let layout = layout("log.csv", text.as_bytes(), None, Decimal::Comma).unwrap();
        assert_eq!(layout.separator, ';');
    }

    #[test]
    fn empty_header_only_and_unclosed_are_told_apart() {
        let kind = |text: &str| lay_out(text).err().unwrap().errors()[0].kind();
        assert_eq!(kind(""), ErrorKind::Empty);
        assert_eq!(kind("run,mass\n\n"), ErrorKind::Empty);
        assert_eq!(kind("run\n\"A\nB\n"), ErrorKind::BadRow);
    }
}
