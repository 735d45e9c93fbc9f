//! Limits of what a log may hold: beyond them a file is damaged, or no log.
//!
//! In: lines, headings and cells. Out: a fault where there are too many, or one is too long.
//! This module never judges what a cell says.

use memchr::memchr_iter;

use crate::error::{Error, ErrorKind, Place};

/// Most lines of a log: a reading each second fills them in three weeks.
const MOST_LINES: usize = 2_000_000;

/// Most columns of a log.
const MOST_COLUMNS: usize = 2_000;

/// Most characters of a cell.
pub const LONGEST_CELL: usize = 10_000;

/// Asks that a log has no more lines than are read.
///
/// # Errors
/// [`ErrorKind::Unreadable`] on the first line that is too many.
pub(super) fn lines(file: &str, text: &str) -> Result<(), Error> {
    let count = |sign: u8| memchr_iter(sign, text.as_bytes()).count();
    // Lines that end with a carriage return alone count too.
    let breaks = match count(b'\r') {
        0 => count(b'\n'),
        returns => count(b'\n') + returns - text.matches("\r\n").count(),
    };
    if breaks <= MOST_LINES {
        return Ok(());
    }
    let message = format!("`{file}` has more than {MOST_LINES} lines");
    let hint = "divide it into several logs, or log readings less often";
    let place = Place::new(file, MOST_LINES + 1);
    Err(place.fault(ErrorKind::Unreadable, message, hint))
}

/// Asks that a log has no more columns than are read.
///
/// # Errors
/// [`ErrorKind::Unreadable`] on the line of the headings.
pub(super) fn columns(file: &str, line: usize, columns: usize) -> Result<(), Error> {
    if columns <= MOST_COLUMNS {
        return Ok(());
    }
    let place = Place::new(file, line);
    let message = format!("{place} has {columns} headings, more than {MOST_COLUMNS}");
    let hint = "check that runs stand in rows and what is known of them in columns, and that the separator is the right one";
    Err(place.fault(ErrorKind::Unreadable, message, hint))
}

/// A fault for each cell that is longer than what is read, in the order of the columns; these have their headings first, and `line`
/// gives the line of a row.
pub fn cells(
    file: &str,
    columns: &[Vec<Option<String>>],
    line: impl Fn(usize) -> usize,
) -> Vec<Error> {
    let mut faults = Vec::new();
    for (position, column) in columns.iter().enumerate() {
        for (row, cell) in column.iter().enumerate() {
            let Some(text) = cell.as_deref() else {
                continue;
            };
            // No text has more characters than bytes.
            if text.len() <= LONGEST_CELL || text.chars().count() <= LONGEST_CELL {
                continue;
            }
            let heading = column[0]
                .as_deref()
                .filter(|text| text.len() <= LONGEST_CELL);
            let heading =
                heading.map_or_else(|| format!("(column {})", position + 1), String::from);
            let place = Place::new(file, line(row));
            let characters = text.chars().count();
            let message = format!(
                "column `{heading}` in {place} holds {characters} characters, more than {LONGEST_CELL}"
            );
            let hint = "shorten it, and look for a quote in that line that is opened or closed in the wrong place";
            let fault = place.fault(ErrorKind::OutOfRange, message, hint);
            faults.push(fault.in_column(heading));
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_million_lines_are_read_and_one_more_is_not() {
        for end in ["\n", "\r\n", "\r"] {
            let most = end.repeat(MOST_LINES);
            assert_eq!(lines("log.csv", &most), Ok(()));
            let fault = lines("log.csv", &(most + end)).unwrap_err();
            assert_eq!(fault.message(), "`log.csv` has more than 2000000 lines");
            assert_eq!(fault.line(), Some(2_000_001));
        }
    }

    #[test]
    fn two_thousand_columns_are_read_and_one_more_is_not() {
        assert_eq!(columns("log.csv", 3, 2_000), Ok(()));
        let fault = columns("log.csv", 3, 2_001).unwrap_err();
        let message = "`log.csv` line 3 has 2001 headings, more than 2000";
        assert_eq!((fault.message(), fault.line()), (message, Some(3)));
    }

    #[test]
    fn ten_thousand_characters_are_read_and_one_more_is_not() {
        let line = |row: usize| [1, 2, 5][row];
        // Two bytes a character: characters count.
        let column = |last: usize| {
            let cell = "\u{fc}".repeat(last);
            vec![Some("note".to_string()), None, Some(cell)]
        };
        assert_eq!(cells("log.csv", &[column(10_000)], line), []);
        let faults = cells("log.csv", &[column(10_001)], line);
        let message = "column `note` in `log.csv` line 5 holds 10001 characters, more than 10000";
        assert_eq!(faults[0].message(), message);
        assert_eq!(
            (faults[0].line(), faults[0].column()),
            (Some(5), Some("note"))
        );
    }
}
