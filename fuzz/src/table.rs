//! Table of a log: from any bytes to rows, or to faults on their lines.
//!
//! In: a line that names the log and how it is written, and the bytes of the log. Out: nothing, or a panic.
//! This module never judges what a row says.

use std::collections::BTreeSet;

use residuum::campaign::{Campaign, CampaignDraft, FileText, LogKind};
use residuum::intake::outline::outline;
use residuum::intake::{LogFile, Logged, Survey, blank_row, seen_columns, survey, with_rows};

use super::told;

const FILE: &str = "log.csv";

/// A campaign whose logs have columns of every kind.
const CAMPAIGN: &str = include_str!("campaign.toml");

/// The runs that other logs are about.
const RUNS: &str = "run,date,lot,route,feed_mass,crop1_mass\nA1,2025-01-13,L1,chill,100,81\nA2,2025-01-16,L1,boildown,101,83\n";

/// How files begin that hold their lines packed.
const PACKED: [&[u8]; 4] = [b"\x1f\x8b", b"PK\x03\x04", b"\xd0\xcf", b"PAR1"];

/// The log under trial, and the runs log where it is another one.
fn logs(kind: LogKind, bytes: &[u8]) -> Vec<LogFile> {
    let log = |kind: LogKind, file: &str, bytes: &[u8]| LogFile {
        kind,
        file: file.into(),
        part: None,
        bytes: bytes.to_vec(),
    };
    let runs = (kind != LogKind::Runs).then(|| log(LogKind::Runs, "runs.csv", RUNS.as_bytes()));
    runs.into_iter().chain([log(kind, FILE, bytes)]).collect()
}

fn campaign(has_comma: bool) -> Campaign {
    let decimal = if has_comma { "," } else { "." };
    let file = FileText {
        file: "campaign.toml".into(),
        text: CAMPAIGN.replace("decimal = \".\"", &format!("decimal = \"{decimal}\"")),
    };
    let read = CampaignDraft::read(file).and_then(CampaignDraft::check);
    read.unwrap_or_else(|faults| panic!("{faults}"))
}

/// Rows of the log under trial, whatever became of them; a row that is left out may have several reasons.
fn rows(logged: &Logged) -> usize {
    let runs = logged.runs.rows.iter().chain(&logged.planned.rows);
    let places = runs.map(|row| &row.place);
    let places = places.chain(logged.left_out.iter().map(|row| &row.place));
    let lines: BTreeSet<usize> = places
        .filter(|place| &*place.file == FILE)
        .map(|place| place.line)
        .collect();
    lines.len()
}

/// Reads a log as its first line says: the key of the log, with `comma` behind it for decimal commas.
pub fn check(bytes: &[u8]) {
    let end = bytes.iter().position(|byte| *byte == b'\n');
    let end = end.unwrap_or(bytes.len());
    let (first, bytes) = (&bytes[..end], bytes.get(end + 1..).unwrap_or_default());
    let first = String::from_utf8_lossy(first);
    let is_meant = |kind: &LogKind| first.starts_with(kind.key());
    let kind = LogKind::ALL
        .into_iter()
        .find(is_meant)
        .unwrap_or(LogKind::Runs);
    let campaign = campaign(first.contains("comma"));
    let files = logs(kind, bytes);
    let found = survey(&campaign, &files);
    let is_packed = PACKED.iter().any(|begin| bytes.starts_with(begin));
    let lines = (!is_packed).then(|| told::lines(bytes));
    let left_out = found.logged.left_out.iter().filter(|row| !row.on_purpose);
    for fault in found.stops.iter().chain(left_out.map(|row| &row.error)) {
        told::fault(fault, FILE, bytes.len() + CAMPAIGN.len(), lines);
    }
    if let Some(lines) = lines {
        assert!(
            rows(&found.logged) <= lines,
            "{} rows of {lines} lines",
            rows(&found.logged)
        );
    }
    let shown = told::finite(&found);
    let (seen, faults) = seen_columns(&campaign, &files);
    told::finite(&seen);
    for fault in &faults {
        told::fault(fault, FILE, bytes.len() + CAMPAIGN.len(), lines);
    }
    told_in_outline(bytes, lines);
    if let Ok(text) = std::str::from_utf8(bytes)
        && !text.contains(['\r', '\0'])
        && !is_packed
    {
        let other = text.replace('\n', "\r\n");
        let other = survey(&campaign, &logs(kind, other.as_bytes()));
        assert_eq!(format!("{other:?}"), shown, "other line ends, other rows");
        if kind == LogKind::Runs {
            one_row_more(&campaign, bytes, &found);
        }
    }
}

fn told_in_outline(bytes: &[u8], lines: Option<usize>) {
    match outline(&[(FILE.to_string(), bytes.to_vec())]) {
        Ok(outline) => drop(told::finite(&outline)),
        Err(faults) => {
            for fault in faults.errors() {
                told::fault(fault, FILE, bytes.len(), lines);
            }
        }
    }
}

/// A row that is added keeps the log as it was, and is read with all the others.
fn one_row_more(campaign: &Campaign, bytes: &[u8], before: &Survey) {
    let files = logs(LogKind::Runs, bytes);
    let Ok(Some(blank)) = blank_row(campaign, &files) else {
        return;
    };
    let name = "Added, \"9\"";
    let cell = |name: &str, own: &str| {
        if own == "run" {
            name.to_string()
        } else {
            String::new()
        }
    };
    let row: Vec<String> = blank
        .columns
        .iter()
        .map(|column| cell(name, &column.name))
        .collect();
    if !row.iter().any(|text| text == name) || !before.stops.is_empty() {
        return;
    }
    let Ok(longer) = with_rows(campaign, &files[0], &[row]) else {
        return;
    };
    assert!(longer.starts_with(bytes), "the log is not what it was");
    let after = survey(campaign, &logs(LogKind::Runs, &longer));
    let names = |survey: &Survey| -> Vec<String> {
        let of_runs = survey.logged.runs.names.iter();
        let mut names: Vec<String> = of_runs
            .chain(&survey.logged.planned.names)
            .cloned()
            .collect();
        names.sort();
        names.dedup();
        names
    };
    let mut wanted = names(before);
    wanted.push(name.to_string());
    wanted.sort();
    wanted.dedup();
    assert_eq!(names(&after), wanted, "{:?}", after.stops);
}
