//! Does one campaign give the same result however its files are written?
//!
//! In: `tests/data/ways/`, written by `tests/writers/ways.py`: formats, encodings, separators, decimal and thousands marks, units,
//! headings and layouts of sheets. Out: `result.json` of each, held against the plain one.
//! This module never compares names of files, lines, the kept source and digests: these differ by what they are.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::support::residuum;

/// What a result may differ by where units were converted: the last binary digit of a cell, as far as fits carry it.
const CONVERTED: f64 = 1e-9;

/// Figures below this are zero but for rounding.
const ZERO: f64 = 1e-9;

fn folder() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/ways"))
}

fn result(way: &str) -> Value {
    let out = tempfile::tempdir().expect("a temporary folder can be made");
    let campaign = folder().join(way);
    let [campaign, folder] = [campaign.as_path(), out.path()].map(|path| path.to_str().unwrap());
    let told = residuum(&["report", campaign, "--quiet", "--out", folder]);
    assert_eq!(told.exit_code, 0, "{way}: {}", told.stderr);
    let text = fs::read_to_string(out.path().join(way).join("result.json")).unwrap();
    let mut result: Value = serde_json::from_str(&text).unwrap();
    for key in ["source", "manifest"] {
        result.as_object_mut().unwrap().remove(key);
    }
    result
}

/// The places where two results differ, file names and lines apart.
fn differences(at: &str, one: &Value, other: &Value, within: f64, found: &mut Vec<String>) {
    match (one, other) {
        (Value::Object(one), Value::Object(other)) => {
            let keys: Vec<&String> = one
                .keys()
                .filter(|key| !["file", "line"].contains(&key.as_str()))
                .collect();
            if one.len() != other.len() || keys.iter().any(|key| !other.contains_key(*key)) {
                found.push(format!("{at}: other keys"));
                return;
            }
            for key in keys {
                differences(
                    &format!("{at}.{key}"),
                    &one[key],
                    &other[key],
                    within,
                    found,
                );
            }
        }
        (Value::Array(one), Value::Array(other)) if one.len() == other.len() => {
            for (position, (one, other)) in one.iter().zip(other).enumerate() {
                differences(&format!("{at}[{position}]"), one, other, within, found);
            }
        }
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            let scale = a.abs().max(b.abs()).max(ZERO / CONVERTED);
            if a != b && (a - b).abs() > within * scale {
                found.push(format!("{at}: {a} and {b}"));
            }
        }
        (one, other) if one == other => {}
        (one, other) => found.push(format!("{at}: {one} and {other}")),
    }
}

#[test]
fn one_campaign_written_in_twelve_ways_gives_one_result() {
    let mut ways: Vec<String> = fs::read_dir(folder())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    ways.sort();
    assert_eq!(ways.len(), 12);
    let plain = result(&ways[0]);
    assert_eq!(plain["campaign"]["left_out"], 0);
    assert_eq!(plain["yields"].as_array().unwrap().len(), 16);
    for way in &ways[1..] {
        let converts = ["06-xlsx", "08-ods", "11-units"].contains(&way.as_str());
        let within = if converts { CONVERTED } else { 0.0 };
        let mut found = Vec::new();
        differences("", &plain, &result(way), within, &mut found);
        found.truncate(12);
        assert!(found.is_empty(), "{way}:\n{}", found.join("\n"));
    }
}
