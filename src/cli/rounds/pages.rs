//! The pages that show all campaigns together.
//!
//! In: the entries of a round, and the clock for the index page alone. Out: `index.md` and `rounds.json` in the output folder.
//! This module never changes a page that says the same already.

use std::path::Path;
use std::time::{SystemTime, UNIX_EPOCH};

use chrono::{DateTime, Datelike, Timelike};
use residuum::error::Error;
use residuum::report::{Form, IndexRow, index_html, index_page, summary};
use serde_json::{Value, json};

use super::entry::Entry;
use crate::cli::publish::publish_file;

/// The page for people.
pub(super) const INDEX: &str = "index.md";

/// The same as HTML, where it was asked for.
pub(super) const INDEX_PAGE: &str = "index.html";

/// The same for programs.
pub(super) const RESULT: &str = "rounds.json";

/// All entries as one JSON object.
pub(super) fn result(entries: &[Entry]) -> Value {
    json!({ "summary": in_one_line(entries), "campaigns": entries })
}

/// How many campaigns stand how.
pub(super) fn in_one_line(entries: &[Entry]) -> String {
    let rows: Vec<IndexRow> = entries.iter().map(Entry::row).collect();
    summary(&rows)
}

/// Writes all pages; `made` is the time that the index page shall show.
///
/// # Errors
/// What writing says; a page that could not be written stays as it was.
pub(super) fn write(
    out: &Path,
    entries: &[Entry],
    made: Option<&str>,
    form: Form,
) -> Result<(), Error> {
    let mut text = serde_json::to_string_pretty(&result(entries)).unwrap_or_default();
    text.push('\n');
    publish_file(out, RESULT, &text)?;
    let mut rows: Vec<IndexRow> = entries.iter().map(Entry::row).collect();
    publish_file(out, INDEX, &index_page(&rows, made))?;
    // One that was asked for once does not grow old beside the others.
    if !form.page && !out.join(INDEX_PAGE).is_file() {
        return Ok(());
    }
    for row in &mut rows {
        row.has_page = row.has_report && out.join(&row.name).join("report.html").is_file();
    }
    publish_file(out, INDEX_PAGE, &index_html(&rows, made))
}

/// The time now as `2031-01-02 03:04 UTC`; none where the clock stands before 1970.
pub(super) fn now() -> Option<String> {
    let seconds = SystemTime::now().duration_since(UNIX_EPOCH).ok()?.as_secs();
    written(seconds)
}

fn written(seconds: u64) -> Option<String> {
    let time = DateTime::from_timestamp(i64::try_from(seconds).ok()?, 0)?;
    Some(format!(
        "{:04}-{:02}-{:02} {:02}:{:02} UTC",
        time.year(),
        time.month(),
        time.day(),
        time.hour(),
        time.minute()
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn seconds_since_1970_become_a_time() {
        // The billionth second, as `date -u -d @1000000000` of GNU coreutils gives it.
        assert_eq!(
            written(1_000_000_000),
            Some("2001-09-09 01:46 UTC".to_string())
        );
    }
}
