//! The page of all campaigns: where each stands, and which ones need a look.
//!
//! In: one [`IndexRow`] a campaign. Out: the Markdown page of all campaigns.
//! This module never looks into a campaign: names and texts come as they are and are made harmless here.

use crate::report::html;
use crate::report::print::{Cell, Columns, Page, Table, capital, count, joined, markdown, when};

/// How many verdicts of a campaign stand in the table; the report holds them all.
const MOST_VERDICTS: usize = 4;

/// One campaign on the page.
#[derive(Debug, Clone, Default)]
pub struct IndexRow {
    /// Name of the campaign: its path below the folder of all campaigns.
    pub name: String,
    /// Its title, as far as it is known.
    pub title: String,
    /// What was done with it, in a word or two.
    pub standing: String,
    /// Whether its report is older than its inputs.
    pub is_stale: bool,
    /// Whether a report of it is there.
    pub has_report: bool,
    /// Whether that report has a page of HTML.
    pub has_page: bool,
    /// How many runs its log has, where it could ever be analysed.
    pub runs: Option<usize>,
    /// How many rows a fault leaves out.
    pub left_out: usize,
    /// How many runs are set aside on purpose.
    pub set_aside: usize,
    /// What the result says, each as question and answer.
    pub verdicts: Vec<String>,
    /// What changed when its result last changed.
    pub changes: Vec<String>,
    /// Why somebody should look at it now; empty when nothing calls for it.
    pub reasons: Vec<String>,
}

/// The same page as HTML, its links leading to pages of HTML where they are.
pub fn index_html(rows: &[IndexRow], made: Option<&str>) -> String {
    html::page("Campaigns", &index_page(rows, made), "", &[])
}

/// The whole page; `made` is the time that the user wants to see on it. It leads to the pages of HTML that are marked as there.
pub fn index_page(rows: &[IndexRow], made: Option<&str>) -> String {
    let mut page = Page::default();
    page.heading(1, "Campaigns");
    page.paragraph(&capital(&summary(rows)));
    if let Some(made) = made {
        page.paragraph(&format!("Made {made}."));
    }
    page.heading(2, "Which campaigns need a look?");
    let calling = rows.iter().filter(|row| !row.reasons.is_empty());
    if calling.clone().next().is_none() {
        page.paragraph("None: nothing that calls for it changed in this round.");
    }
    page.marked_list(calling.map(|row| {
        let reasons = markdown(&joined(&row.reasons, "; "));
        format!("**{}**: {reasons}.", linked(row))
    }));
    if !rows.is_empty() {
        let table = table(rows);
        page.heading(2, &table.question);
        page.table(&table);
    }
    page.finish()
}

/// How many campaigns stand how, the most frequent standing last so that what is rare comes first.
pub fn summary(rows: &[IndexRow]) -> String {
    let mut standings: Vec<(&str, usize)> = Vec::new();
    for row in rows {
        match standings.iter_mut().find(|(name, _)| *name == row.standing) {
            Some((_, number)) => *number += 1,
            None => standings.push((&row.standing, 1)),
        }
    }
    standings.sort_by(|a, b| a.1.cmp(&b.1).then(a.0.cmp(b.0)));
    let parts = standings
        .iter()
        .map(|(name, number)| format!("{number} {name}"));
    match joined(parts, ", ").as_str() {
        "" => "no campaign was found".to_string(),
        parts => format!("{}: {parts}", count(rows.len(), "campaign")),
    }
}

fn table(campaigns: &[IndexRow]) -> Table {
    let mut rows = Columns::of(campaigns);
    rows.words("campaign", |row| Cell::Link {
        text: row.name.clone(),
        target: target(row),
        below: row.title.clone(),
    });
    rows.words("this round", |row| {
        let stale = when(row.is_stale, ", report stale");
        format!("{}{stale}", row.standing)
    });
    rows.figures("runs", |row| row.runs);
    rows.figures("left out", |row| row.runs.map(|_| row.left_out));
    rows.figures("set aside", |row| row.runs.map(|_| row.set_aside));
    rows.words("what it says", |row| {
        let more = row.verdicts.len().saturating_sub(MOST_VERDICTS);
        let more = (more > 0).then(|| format!("{more} more"));
        joined(row.verdicts.iter().take(MOST_VERDICTS).chain(&more), "; ")
    });
    rows.words("what changed when it last changed", |row| {
        joined(&row.changes, "; ")
    });
    rows.answer("Where does each campaign stand?")
}

fn linked(row: &IndexRow) -> String {
    let name = markdown(&row.name);
    match target(row).as_str() {
        "" => name,
        target => format!("[{name}]({target})"),
    }
}

/// Where the name leads; nowhere without a report.
fn target(row: &IndexRow) -> String {
    let file = match (row.has_report, row.has_page) {
        (false, _) => return String::new(),
        (true, false) => "report.md",
        (true, true) => "report.html",
    };
    format!("{}/{file}", address(&row.name))
}

/// A path as the target of a link: every byte but letters, digits, `/`, `-`, `.` and `_` as `%` and its two digits.
fn address(name: &str) -> String {
    let written = name.bytes().map(|byte| match byte {
        b'/' | b'-' | b'.' | b'_' => char::from(byte).to_string(),
        byte if byte.is_ascii_alphanumeric() => char::from(byte).to_string(),
        byte => format!("%{byte:02X}"),
    });
    written.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(name: &str) -> IndexRow {
        IndexRow {
            name: name.to_string(),
            standing: "new".to_string(),
            has_report: true,
            ..IndexRow::default()
        }
    }

    #[test]
    fn a_name_can_neither_break_out_of_its_cell_nor_out_of_its_link() {
        let hostile = "a|b](javascript:x) <b>`c`\nd";
        let page = index_page(&[row(hostile)], None);
        let line = page.lines().find(|line| line.contains("report.md"));
        let line = line.expect("the row is there");
        assert_eq!(line.matches('|').count(), 8, "{line}");
        assert!(line.contains("(a%7Cb%5D%28javascript%3Ax%29%20%3Cb%3E%60c%60%0Ad/report.md)"));
        assert!(!line.contains("<b>") && line.contains("`c`"));
    }

    #[test]
    fn the_time_stands_on_the_page_only_when_it_is_asked_for() {
        let rows = [row("a")];
        assert!(index_page(&rows, Some("2031-01-02 03:04 UTC")).contains("Made 2031-01-02"));
        assert!(!index_page(&rows, None).contains("Made"));
    }

    #[test]
    fn what_is_rare_comes_first_in_the_summary() {
        let mut rows = vec![row("a"), row("b"), row("c")];
        rows[1].standing = "failed".to_string();
        assert_eq!(summary(&rows), "3 campaigns: 1 failed, 2 new");
        assert_eq!(summary(&[]), "no campaign was found");
    }
}
