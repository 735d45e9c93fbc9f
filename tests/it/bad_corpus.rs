//! Does each of many bad inputs get the very message that a reader can act upon?
//!
//! In: `tests/data/bad/`: a sound campaign, and a file for each way to spoil it, with what `check` says then. Out: each way tried, its
//! message held against the one that was read through.
//! This module never takes a message from the program: they were read as prose before they were put down.

use std::fs;
use std::path::Path;

use serde_json::{Map, Value};

use crate::support::residuum;

fn folder() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/bad"))
}

/// A case or a part of one.
type Table = Map<String, Value>;

/// The texts of a list of tables.
fn entries<'t>(case: &'t Table, key: &str) -> impl Iterator<Item = &'t Table> {
    let list = case.get(key).and_then(Value::as_array);
    list.into_iter().flatten().filter_map(Value::as_object)
}

fn text<'t>(table: &'t Table, key: &str) -> &'t str {
    table
        .get(key)
        .and_then(Value::as_str)
        .unwrap_or_else(|| panic!("no text `{key}`"))
}

fn from_hex(digits: &str) -> Vec<u8> {
    let pairs = digits.as_bytes().chunks(2);
    pairs
        .map(|pair| u8::from_str_radix(std::str::from_utf8(pair).unwrap(), 16).unwrap())
        .collect()
}

/// The sound campaign, spoilt as a case says.
fn spoil(case: &Table, campaign: &Path) {
    fs::create_dir(campaign).unwrap();
    for entry in fs::read_dir(folder().join("base")).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), campaign.join(entry.file_name())).unwrap();
    }
    for file in entries(case, "file") {
        let bytes = match file.get("hex") {
            Some(_) => from_hex(text(file, "hex")),
            None => text(file, "text").into(),
        };
        fs::write(campaign.join(text(file, "file")), bytes).unwrap();
    }
    for edit in entries(case, "edit") {
        let path = campaign.join(text(edit, "file"));
        let before = fs::read_to_string(&path).unwrap();
        let after = before.replacen(text(edit, "from"), text(edit, "to"), 1);
        assert_ne!(before, after, "{edit:?} changes nothing");
        fs::write(path, after).unwrap();
    }
}

#[test]
fn every_bad_input_gets_its_message_and_nothing_else() {
    let mut count = 0;
    let mut wrong = Vec::new();
    for entry in fs::read_dir(folder()).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "json") {
            continue;
        }
        count += 1;
        let case: Table = serde_json::from_str(&fs::read_to_string(&path).unwrap()).unwrap();
        let place = tempfile::tempdir().unwrap();
        let campaign = place.path().join("campaign");
        spoil(&case, &campaign);
        let told = residuum(&["check", campaign.to_str().unwrap()]);
        let says = case["says"].as_object().unwrap();
        let lines = |key: &str| -> String {
            let lines = says[key].as_array().unwrap().iter();
            lines
                .map(|line| format!("{}\n", line.as_str().unwrap()))
                .collect()
        };
        let expected = (lines("stdout"), lines("stderr"), says["exit"].as_i64());
        let found = (
            told.stdout.clone(),
            told.stderr.clone(),
            Some(told.exit_code.into()),
        );
        if expected != found {
            wrong.push(format!(
                "{}:\n{}{}",
                path.display(),
                told.stdout,
                told.stderr
            ));
        }
    }
    assert!(count >= 150, "{count} bad inputs");
    assert!(
        wrong.is_empty(),
        "{} of {count}:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}
