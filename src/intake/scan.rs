//! How a log file is laid out: encoding, separator, lines.
//!
//! In: the bytes of a file. Out: [`Layout`], one text a record with the line it starts on.
//! This module never reads a value.

use super::LogFile;
use crate::campaign::{Decimal, LogKind};
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
/// Not UTF-8, a quote in the middle of a cell or never closed, an empty file or one with nothing but a heading.
pub(super) fn layout(
    log: &LogFile,
    separator: Option<char>,
    decimal: Decimal,
) -> Result<Layout, Faults> {
    let layout = heading_layout(log, separator, decimal)?;
    if layout.records.len() > 1 {
        return Ok(layout);
    }
    let file = &log.file;
    Err(Error::new(
        ErrorKind::Empty,
        format!("`{file}` has headings but no row"),
    )
    .in_file(file)
    .on_line(layout.records[0].line)
    .hint(if log.kind == LogKind::Runs {
        "write a row for each run that was made"
    } else {
        "write the first row, or take the log out of `[logs]`"
    })
    .into())
}

/// The same for a file that may have nothing but a heading.
///
/// # Errors
/// As [`layout`], but for a file with nothing but a heading.
pub(super) fn heading_layout(
    log: &LogFile,
    separator: Option<char>,
    decimal: Decimal,
) -> Result<Layout, Faults> {
    let file = &log.file;
    let text = decode(file, &log.bytes)?;
    let candidates: Vec<char> = match separator {
        Some(separator) => vec![separator],
        None => SEPARATORS
            .into_iter()
            .filter(|separator| *separator != ',' || decimal != Decimal::Comma)
            .collect(),
    };
    let mut records = records(file, text, &candidates)?;
    if records.is_empty() {
        return Err(Error::new(ErrorKind::Empty, format!("`{file}` is empty"))
            .in_file(file)
            .hint("a log has one line of headings and one row for each entry")
            .into());
    }
    let separator = separator.unwrap_or_else(|| likeliest(&records, &candidates));
    if candidates.len() > 1 {
        // Only now is it known where cells begin and end, and so where a quote may stand.
        records = self::records(file, text, &[separator])?;
    }
    let mut is_heading = true;
    records.retain(|record| {
        std::mem::take(&mut is_heading)
            || record
                .text
                .chars()
                .any(|c| c != separator && !c.is_whitespace() && c != '"')
    });
    Ok(Layout { separator, records })
}

fn decode<'b>(file: &str, bytes: &'b [u8]) -> Result<&'b str, Error> {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let sound = match std::str::from_utf8(bytes) {
        Ok(text) => match text.find('\0') {
            None => return Ok(text),
            // No text holds a zero byte; UTF-16 without a mark at its front does in every other place.
            Some(position) => position,
        },
        Err(error) => error.valid_up_to(),
    };
    let line = 1 + bytes[..sound].iter().filter(|b| **b == b'\n').count();
    Err(Error::new(
        ErrorKind::Unreadable,
        format!("`{file}` line {line} is not UTF-8 text"),
    )
    .in_file(file)
    .on_line(line)
    .hint("save the log as CSV in UTF-8"))
}

/// Where in a cell the reader of records stands.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Place {
    /// At its beginning, blanks passed over.
    Begin,
    /// Within text without quotes.
    Plain,
    /// Within quotes that were opened on that line.
    Quoted(usize),
    /// Behind its closing quote.
    Closed,
}

/// Cuts a text into records; a quote counts only at the beginning and at the end of a cell.
///
/// # Source
/// RFC 4180, section 2, items 5 to 7; blanks around quotes are taken away here.
fn records(file: &str, text: &str, separators: &[char]) -> Result<Vec<Record>, Error> {
    let mut records = Vec::new();
    let mut line = 1;
    let mut start_line = 1;
    let mut current = String::new();
    let mut place = Place::Begin;
    let is_blank = |c: char| c.is_whitespace() && c != '\n' && !separators.contains(&c);
    let mut characters = text.chars().peekable();
    while let Some(mut c) = characters.next() {
        if c == '\r' {
            characters.next_if_eq(&'\n');
            c = '\n';
        }
        line += usize::from(c == '\n');
        place = match (place, c) {
            (Place::Quoted(_), '"') if characters.next_if_eq(&'"').is_some() => {
                current.push('"');
                place
            }
            (Place::Quoted(_), '"') => Place::Closed,
            (Place::Quoted(_), _) => place,
            (_, '\n') => {
                push(&mut records, start_line, &mut current);
                start_line = line;
                place = Place::Begin;
                continue;
            }
            (_, c) if separators.contains(&c) => Place::Begin,
            (Place::Begin, '"') => {
                current.truncate(current.trim_end_matches(is_blank).len());
                Place::Quoted(line)
            }
            (Place::Begin | Place::Closed, c) if is_blank(c) => {
                if place == Place::Closed {
                    continue;
                }
                place
            }
            (Place::Closed, _) | (Place::Plain, '"') => {
                return Err(Error::new(
                    ErrorKind::BadRow,
                    format!("a quote stands in the middle of a cell in `{file}` line {line}"),
                )
                .in_file(file)
                .on_line(line)
                .hint("put the whole cell in quotes and write each quote inside it twice, or take the quote out"));
            }
            (Place::Begin | Place::Plain, _) => Place::Plain,
        };
        current.push(c);
    }
    if let Place::Quoted(opened) = place {
        return Err(Error::new(
            ErrorKind::BadRow,
            format!("a quote in `{file}` line {opened} is never closed"),
        )
        .in_file(file)
        .on_line(opened)
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
fn likeliest(records: &[Record], candidates: &[char]) -> char {
    let mut best = SEPARATORS[0];
    let mut best_score = (0, 0);
    for &separator in candidates {
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

    fn log(text: &str) -> LogFile {
        LogFile {
            kind: LogKind::Crops,
            file: "log.csv".into(),
            bytes: text.as_bytes().to_vec(),
        }
    }

    fn lay_out(text: &str) -> Result<Layout, Faults> {
        layout(&log(text), None, Decimal::Point)
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
        let layout = layout(&log(text), None, Decimal::Comma).unwrap();
        assert_eq!(layout.separator, ';');
    }

    #[test]
    fn blanks_around_quotes_go_and_doubled_quotes_stay() {
        let layout = lay_out("run,note\nA , \"5\"\" pipe, long\" \n").unwrap();
        assert_eq!(layout.records[1].text, "A ,\"5\"\" pipe, long\"");
        assert_eq!(cell_count(&layout.records[1].text, ','), 2);
    }

    #[test]
    fn a_quote_in_the_middle_of_a_cell_is_named_by_its_line() {
        for text in ["run,note\nA,x\nB,5\" pipe\n", "run,note\nA,\"x\ny\"z\n"] {
            let faults = lay_out(text).err().unwrap();
            assert_eq!(faults.errors()[0].line(), Some(3), "{text}");
            assert_eq!(faults.errors()[0].kind(), ErrorKind::BadRow);
        }
    }

    #[test]
    fn a_bar_or_a_semicolon_before_a_quote_is_no_beginning_where_commas_separate() {
        assert!(lay_out("run,note\nA,x|\"y,z\"\n").is_err());
    }

    #[test]
    fn empty_header_only_and_unclosed_are_told_apart() {
        let kind = |text: &str| lay_out(text).err().unwrap().errors()[0].kind();
        assert_eq!(kind(""), ErrorKind::Empty);
        assert_eq!(kind("run,mass\n\n"), ErrorKind::Empty);
        assert_eq!(kind("run\n\"A\nB\n"), ErrorKind::BadRow);
    }
}
