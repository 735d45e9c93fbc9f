//! A runs log with further rows behind its own.
//!
//! In: the log as it was read, the cells of the rows. Out: its new content: the old one byte for byte, then the rows as the log
//! writes its own.
//! This module never writes behind anything that is no run.

use super::not_used::LogFile;
use super::table::Table;
use crate::campaign::Campaign;
use crate::error::{Error, ErrorKind, Place};
use crate::sheets::{Passed, PassedOver};

/// What is left where the rows cannot be written.
const BY_HAND: &str = "copy the lines that `residuum next --csv` prints to where they belong";

/// The content of a log with these rows behind its own, one text a column.
///
/// Separator and line end are those of the log; a cell is quoted where it has to be, and in a column whose last cell is quoted
/// without need.
///
/// # Errors
/// A log that is no text in UTF-8, and one that ends with something else than a run.
pub fn with_rows(
    campaign: &Campaign,
    log: &LogFile,
    rows: &[Vec<String>],
) -> Result<Vec<u8>, Error> {
    let file = &log.file;
    let Ok(text) = std::str::from_utf8(&log.bytes) else {
        let what = format!("`{file}` is no CSV text in UTF-8, so nothing can be added to it");
        let hint = format!("save it as CSV in UTF-8, or {BY_HAND}");
        let error = Error::new(ErrorKind::Unreadable, what);
        return Err(error.in_file(file).hint(hint));
    };
    let mut table = Table::open(campaign, log)?;
    table.name_columns(campaign);
    let separator = table.separator().unwrap_or(',');
    let holds_anything = |line: &&str| line.chars().any(|sign| sign.is_alphanumeric());
    let last = text.split(['\n', '\r']).rfind(holds_anything);
    ends_with_a_run(&table, text)?;
    let cells = cells(last.unwrap_or_default(), separator);
    let habit: Vec<bool> = cells.map(is_quoted_without_need(separator)).collect();
    let end = line_end(text);
    let mut new = log.bytes.clone();
    if !text.ends_with(['\n', '\r']) {
        new.extend(end.as_bytes());
    }
    for row in rows {
        for (column, cell) in row.iter().enumerate() {
            if column > 0 {
                new.extend(separator.to_string().as_bytes());
            }
            let is_quoted = habit.get(column).is_some_and(|quoted| *quoted)
                || cell.contains([separator, '"', '\n', '\r']);
            match is_quoted {
                true => new.extend(format!("\"{}\"", cell.replace('"', "\"\"")).as_bytes()),
                false => new.extend(cell.as_bytes()),
            }
        }
        new.extend(end.as_bytes());
    }
    Ok(new)
}

/// Asks that the last row of a log is that of a run.
fn ends_with_a_run(table: &Table, text: &str) -> Result<(), Error> {
    let hint = format!("take that line out, or {BY_HAND}");
    let refused =
        |place: &Place, message: String| Err(place.fault(ErrorKind::BadRow, message, &hint));
    let Some(last) = table.row_count().checked_sub(1) else {
        return Ok(());
    };
    let place = table.place(last);
    let over_rows = |of: &&PassedOver| of.what == Passed::OverRows;
    let passed = table.passed().iter().filter(over_rows);
    let mut lines = passed.flat_map(|of| &of.lines);
    if let Some(line) = lines.find(|line| **line > place.line) {
        let separator = table.separator().unwrap_or(',');
        let row = text.lines().nth(line - 1).unwrap_or_default();
        let name = cells(row, separator).find(|cell| !cell.trim().is_empty());
        let name = name.unwrap_or_default().trim().trim_matches('"');
        let place = Place::new(&table.file, *line);
        let message =
            format!("{place} is a row over other rows, behind which no run can be added: `{name}`");
        return refused(&place, message);
    }
    if let Some(line) = table.table_behind() {
        let place = Place::new(&table.file, line);
        let message =
            format!("a further table begins in {place}, and no run can be added behind it");
        return refused(&place, message);
    }
    let is_sound = !table.ragged_rows().any(|row| row == last);
    match table.run(last) {
        Some(_) if is_sound => Ok(()),
        _ => {
            let message = format!("{place} is no run, and no run can be added behind it");
            refused(&place, message)
        }
    }
}

/// Where cells of a line are parted: the places of separators outside quotes.
fn partings(line: &str, separator: char) -> impl Iterator<Item = usize> {
    let mut quoted = false;
    let parts = line.char_indices().filter(move |(_, sign)| {
        quoted ^= *sign == '"';
        *sign == separator && !quoted
    });
    parts.map(|(place, _)| place)
}

fn cells(record: &str, separator: char) -> impl Iterator<Item = &str> {
    let mut begin = 0;
    let ends = partings(record, separator).chain([record.len()]);
    ends.map(move |end| {
        let cell = &record[begin..end];
        begin = end + separator.len_utf8();
        cell
    })
}

fn is_quoted_without_need(separator: char) -> impl Fn(&str) -> bool {
    move |cell| {
        let inside = cell.strip_prefix('"');
        let inside = inside.and_then(|cell| cell.strip_suffix('"'));
        inside.is_some_and(|inside| !inside.contains([separator, '"', '\n', '\r']))
    }
}

/// The last line end of a text.
fn line_end(text: &str) -> &'static str {
    match text.rfind(['\n', '\r']) {
        Some(end) if text[..end].ends_with('\r') && text[end..].starts_with('\n') => "\r\n",
        Some(end) if text[end..].starts_with('\r') => "\r",
        _ => "\n",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::campaign::{CampaignDraft, FileText, LogKind};

    fn added(log: &str, rows: &[&[&str]]) -> Result<String, Error> {
        let text = "[campaign]\ntitle = \"x\"\n[logs]\nruns = \"runs.csv\"\n[factors.stirring]\nkind = \"amount\"\n[responses.rate]\ncolumn = \"rate\"\n";
        let file = FileText {
            file: "campaign.toml".into(),
            text: text.into(),
        };
        let campaign = CampaignDraft::read(file).unwrap().check().unwrap();
        let log = LogFile {
            kind: LogKind::Runs,
            file: "runs.csv".into(),
            part: None,
            bytes: log.as_bytes().to_vec(),
        };
        let rows: Vec<Vec<String>> = rows
            .iter()
            .map(|row| row.iter().map(|cell| cell.to_string()).collect())
            .collect();
        let new = with_rows(&campaign, &log, &rows)?;
        Ok(String::from_utf8(new).unwrap())
    }

    #[test]
    fn what_stands_there_stays_and_the_rows_are_written_as_it_is() {
        let row: &[&[&str]] = &[&["n", "120", ""]];
        for (log, end) in [
            ("run,stirring,rate\na,1,2\n", "n,120,\n"),
            ("\u{feff}run,stirring,rate\r\na,1,2\r\n", "n,120,\r\n"),
            ("run;stirring;rate\na;1;2", "\nn;120;\n"),
            ("run\tstirring\trate\r\na\t1\t2", "\r\nn\t120\t\r\n"),
            ("run,stirring,rate\ra,1,2\r", "n,120,\r"),
            (
                "\"run\",\"stirring\",\"rate\"\n\"a\",\"1\",\"2\"\n",
                "\"n\",\"120\",\"\"\n",
            ),
            ("run,stirring,rate\n\"a\",1,2\n\n,,\n", "\"n\",120,\n"),
            ("run,stirring,rate\n", "n,120,\n"),
            ("\"run\",stirring,rate", "\n\"n\",120,\n"),
        ] {
            assert_eq!(added(log, row).unwrap(), format!("{log}{end}"));
        }
    }

    #[test]
    fn a_cell_that_needs_quotes_gets_them_and_no_column_gets_the_habit() {
        let log = "run,stirring,rate\n\"a,b\",1,2\n";
        let new = added(log, &[&["n", "1\"2", "x"], &["two\nlines", "1", ""]]).unwrap();
        let rows = "n,\"1\"\"2\",x\n\"two\nlines\",1,\n";
        assert_eq!(new, format!("{log}{rows}"));
    }

    #[test]
    fn nothing_is_written_behind_what_is_no_run() {
        for (end, message) in [
            (
                "Total:,3,4\n",
                "`runs.csv` line 3 is a row over other rows, behind which no run can be added: `Total:`",
            ),
            (
                ",3,4\n",
                "`runs.csv` line 3 is no run, and no run can be added behind it",
            ),
            (
                "Remarks: none\n",
                "`runs.csv` line 3 is no run, and no run can be added behind it",
            ),
        ] {
            let error = added(&format!("run,stirring,rate\na,1,2\n{end}"), &[]).unwrap_err();
            assert_eq!(error.message(), message);
            assert_eq!(error.line(), Some(3));
        }
    }
}
