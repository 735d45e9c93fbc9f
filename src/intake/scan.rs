//! Layout of a log file: encoding, separator, records with their lines.
//!
//! In: the bytes of a file. Out: [`Layout`], one text a record with the line it starts on.
//! This module never reads a value.

use super::limits;
use super::logged::LogFile;
use crate::campaign::{Decimal, LogKind, Logs};
use crate::error::{Error, ErrorKind, Place};

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

/// Cuts a file into records; it may have nothing but a heading.
///
/// # Errors
/// Not UTF-8, a quote in the middle of a cell or never closed, or an empty file.
pub(super) fn layout(log: &LogFile, logs: &Logs) -> Result<Layout, Error> {
    let file = &log.file;
    let text = decode(file, &log.bytes)?;
    limits::lines(file, text)?;
    let candidates: Vec<char> = match logs.separator {
        Some(separator) => vec![separator],
        None => SEPARATORS
            .into_iter()
            .filter(|separator| *separator != ',' || logs.decimal != Decimal::Comma)
            .collect(),
    };
    let mut records = records(file, text, &candidates)?;
    if records.is_empty() {
        return Err(Error::new(ErrorKind::Empty, format!("`{file}` is empty"))
            .in_file(file)
            .hint("a log has one line of headings and one row for each entry"));
    }
    let separator = logs
        .separator
        .unwrap_or_else(|| likeliest(&records, &candidates));
    let columns = cell_count(&records[0].text, separator);
    limits::columns(file, records[0].line, columns)?;
    if candidates.len() > 1 {
        // Only now is it known where cells begin and end, and so where a quote may stand.
        records = self::records(file, text, &[separator])?;
    }
    let holds_anything = |text: &str| {
        text.chars()
            .any(|c| c != separator && !c.is_whitespace() && c != '"')
    };
    let heading = records[0].line;
    records.retain(|record| record.line == heading || holds_anything(&record.text));
    Ok(Layout { separator, records })
}

impl Layout {
    /// The same, where it has a row.
    ///
    /// # Errors
    /// Nothing but a heading.
    pub fn with_rows(self, log: &LogFile) -> Result<Layout, Error> {
        if self.records.len() > 1 {
            return Ok(self);
        }
        let file = &log.file;
        let hint = if log.kind == LogKind::Runs {
            "write a row for each run that was made"
        } else {
            "write the first row, or take the log out of `[logs]`"
        };
        let message = format!("`{file}` has headings but no row");
        Err(Place::new(file, self.records[0].line).fault(ErrorKind::Empty, message, hint))
    }
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
    let place = Place::new(file, line);
    let message = format!("{place} is not UTF-8 text");
    Err(place.fault(
        ErrorKind::Unreadable,
        message,
        "save the log as CSV in UTF-8",
    ))
}

/// Where in a cell the reader of records stands.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Within {
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
    let mut within = Within::Begin;
    let is_blank = |c: char| c.is_whitespace() && c != '\n' && !separators.contains(&c);
    let mut characters = text.chars().peekable();
    while let Some(mut c) = characters.next() {
        if c == '\r' {
            characters.next_if_eq(&'\n');
            c = '\n';
        }
        line += usize::from(c == '\n');
        within = match (within, c) {
            (Within::Quoted(_), '"') if characters.next_if_eq(&'"').is_some() => {
                current.push('"');
                within
            }
            (Within::Quoted(_), '"') => Within::Closed,
            (Within::Quoted(_), _) => within,
            (_, '\n') => {
                push(&mut records, start_line, &mut current);
                start_line = line;
                within = Within::Begin;
                continue;
            }
            (_, c) if separators.contains(&c) => Within::Begin,
            (Within::Begin, '"') => {
                current.truncate(current.trim_end_matches(is_blank).len());
                Within::Quoted(line)
            }
            (Within::Begin | Within::Closed, c) if is_blank(c) => {
                if within == Within::Closed {
                    continue;
                }
                within
            }
            (Within::Closed, _) | (Within::Plain, '"') => {
                let place = Place::new(file, line);
                let message = format!("a quote stands in the middle of a cell in {place}");
                let hint = "put the whole cell in quotes and write each quote inside it twice, or take the quote out";
                return Err(place.fault(ErrorKind::BadRow, message, hint));
            }
            (Within::Begin | Within::Plain, _) => Within::Plain,
        };
        current.push(c);
    }
    if let Within::Quoted(opened) = within {
        let place = Place::new(file, opened);
        let message = format!("a quote in {place} is never closed");
        let hint = "close it, or write a quote inside a cell twice";
        return Err(place.fault(ErrorKind::BadRow, message, hint));
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
    1 + partings(text, separator).count()
}

/// Where cells of a record are parted: the places of separators outside quotes.
pub(super) fn partings(text: &str, separator: char) -> impl Iterator<Item = usize> {
    let mut quoted = false;
    let parts = text.char_indices().filter(move |(_, c)| {
        quoted ^= *c == '"';
        *c == separator && !quoted
    });
    parts.map(|(place, _)| place)
}

/// The separator that gives the heading most cells, with as many in the rows as a tie-break.
fn likeliest(records: &[Record], candidates: &[char]) -> char {
    let scored = candidates.iter().rev().filter_map(|separator| {
        let cells = cell_count(&records[0].text, *separator);
        let is_alike = |record: &&Record| cell_count(&record.text, *separator) == cells;
        let alike = records.iter().take(50).filter(is_alike).count();
        (cells > 1).then_some(((alike, cells), *separator))
    });
    // Of two that do as well, the one that is tried first.
    let best = scored.max_by_key(|(score, _)| *score);
    best.map_or(SEPARATORS[0], |(_, separator)| separator)
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

    fn lay_out_with(decimal: Decimal, text: &str) -> Result<Layout, Error> {
        let logs = Logs {
            files: Vec::new(),
            separator: None,
            decimal,
        };
        layout(&log(text), &logs)?.with_rows(&log(text))
    }

    fn lay_out(text: &str) -> Result<Layout, Error> {
        lay_out_with(Decimal::Point, text)
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
        let layout = lay_out_with(Decimal::Comma, text).unwrap();
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
            let fault = lay_out(text).err().unwrap();
            assert_eq!(fault.line(), Some(3), "{text}");
            assert_eq!(fault.kind(), ErrorKind::BadRow);
        }
    }

    #[test]
    fn a_bar_or_a_semicolon_before_a_quote_is_no_beginning_where_commas_separate() {
        assert!(lay_out("run,note\nA,x|\"y,z\"\n").is_err());
    }

    #[test]
    fn empty_header_only_and_unclosed_are_told_apart() {
        let kind = |text: &str| lay_out(text).err().unwrap().kind();
        assert_eq!(kind(""), ErrorKind::Empty);
        assert_eq!(kind("run,mass\n\n"), ErrorKind::Empty);
        assert_eq!(kind("run\n\"A\nB\n"), ErrorKind::BadRow);
    }
}
