//! Are the committed reports what the program writes, whole, the same on every machine, and in agreement with themselves?
//!
//! In: the demo campaigns and the committed reports on them. Out: one test a promise.
//! This module never asks whether the analysis is right: `reference/` and `demo.rs` do.

mod first_screen;
mod glossed;
mod page;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

use pulldown_cmark::Event;
use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::markdown::events;
use crate::support::{CampaignFolder, copy_files, residuum, without_links};

const CAMPAIGNS: [&str; 2] = ["bluestone", "iodate"];

/// Files of a report by their path below it.
type Files = BTreeMap<String, Vec<u8>>;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn campaign(name: &str) -> PathBuf {
    root().join("data-demo").join(name)
}

fn committed(name: &str) -> Files {
    read(&root().join("reports").join(name))
}

fn read(folder: &Path) -> Files {
    let mut files = Files::new();
    collect(folder, "", &mut files);
    files
}

fn collect(folder: &Path, below: &str, files: &mut Files) {
    for entry in std::fs::read_dir(folder).expect("the report can be listed") {
        let path = entry.expect("the report can be listed").path();
        let name = path.file_name().expect("a listed file has a name");
        let name = format!("{below}{}", name.to_string_lossy());
        if path.is_dir() {
            collect(&path, &format!("{name}/"), files);
        } else {
            files.insert(name, std::fs::read(&path).expect("a file of the report"));
        }
    }
}

/// The report that the program writes now, with this in its environment.
fn written(name: &str, environment: &[(&str, &str)]) -> Files {
    // A report names its campaign by the way there, so it lies to a copy as the committed one does to the demo.
    let tree = CampaignFolder::new();
    let demo = tree.path().join("data-demo").join(name);
    copy_files(&campaign(name), &demo);
    let out = tree.path().join("reports");
    let status = Command::new(env!("CARGO_BIN_EXE_residuum"))
        .args(["report", "--quiet", "--out"])
        .arg(&out)
        .arg(demo)
        .env_remove("RAYON_NUM_THREADS")
        .env_remove("POLARS_MAX_THREADS")
        .envs(environment.iter().copied())
        .stdout(std::process::Stdio::null())
        .status()
        .expect("the program starts");
    assert!(status.success(), "{name}: {status}");
    read(&out.join(name))
}

fn text<'a>(files: &'a Files, path: &str) -> &'a str {
    let bytes = files
        .get(path)
        .unwrap_or_else(|| panic!("no `{path}` in the report"));
    std::str::from_utf8(bytes).expect("UTF-8")
}

fn check_same(name: &str, actual: &Files, expected: &Files) {
    let names = |files: &Files| files.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(actual), names(expected), "{name}");
    for (path, bytes) in expected {
        assert!(
            actual[path] == *bytes,
            "`{name}/{path}` differs; DEVELOPERS.md says how to write it anew"
        );
    }
}

#[test]
fn the_committed_reports_are_what_the_program_writes_now() {
    for name in CAMPAIGNS {
        check_same(name, &written(name, &[]), &committed(name));
    }
}

#[test]
fn the_number_of_threads_changes_no_byte() {
    for name in CAMPAIGNS {
        let many = written(name, &[]);
        check_same(name, &written(name, &[("RAYON_NUM_THREADS", "1")]), &many);
        check_same(name, &written(name, &[("POLARS_MAX_THREADS", "1")]), &many);
        let one = [("RAYON_NUM_THREADS", "1"), ("POLARS_MAX_THREADS", "1")];
        check_same(name, &written(name, &one), &many);
    }
}

#[test]
fn the_manifest_holds_the_digest_of_every_other_file() {
    for name in CAMPAIGNS {
        let files = committed(name);
        let result: Value = serde_json::from_str(text(&files, "result.json")).expect("JSON");
        let manifest = result["manifest"].as_object().expect("a manifest");
        let named: BTreeSet<&str> = manifest.keys().map(String::as_str).collect();
        let there: BTreeSet<&str> = files.keys().map(String::as_str).collect();
        let missing: Vec<_> = there.symmetric_difference(&named).collect();
        assert_eq!(missing, [&"result.json"], "{name}");
        for (path, digest) in manifest {
            let actual: String = Sha256::digest(&files[path])
                .iter()
                .map(|byte| format!("{byte:02x}"))
                .collect();
            assert_eq!(digest, &actual, "{name}/{path}");
        }
    }
}

/// In what is seen of a page no entity stands as it is written, and no code span ends where it should not.
#[test]
fn what_is_seen_of_a_report_holds_no_entity() {
    for name in CAMPAIGNS {
        let files = committed(name);
        let mut codes = 0;
        for event in events(text(&files, "report.md")) {
            match event {
                Event::Text(text) => {
                    assert!(
                        !text.contains("&#") && !text.contains('`'),
                        "{name}: {text}"
                    );
                }
                Event::Code(code) => {
                    assert!(!code.contains("&#"), "{name}: {code}");
                    codes += 1;
                }
                _ => {}
            }
        }
        assert!(codes > 10, "{name}: {codes}");
    }
}

#[test]
fn every_link_leads_to_a_file_of_the_report_and_every_chart_is_shown() {
    for name in CAMPAIGNS {
        let files = committed(name);
        let report = text(&files, "report.md");
        let targets: BTreeSet<&str> = report
            .split("](")
            .skip(1)
            .filter_map(|rest| rest.split_once(')'))
            .map(|(target, _)| target)
            .collect();
        for target in targets.iter().filter(|target| !target.starts_with('#')) {
            assert!(files.contains_key(*target), "{name} links to `{target}`");
        }
        for heading in targets.iter().filter_map(|target| target.strip_prefix('#')) {
            assert!(
                report
                    .lines()
                    .filter(|line| line.starts_with('#'))
                    .any(|line| anchor(line) == heading),
                "{name} links to `#{heading}`"
            );
        }
        let charts: Vec<&String> = files
            .keys()
            .filter(|path| path.starts_with("charts/"))
            .collect();
        assert!(!charts.is_empty());
        for chart in charts {
            assert!(report.contains(&format!("]({chart})")), "{name}: {chart}");
        }
    }
}

/// The anchor that a heading gets: small letters, blanks as hyphens, marks left out.
fn anchor(heading: &str) -> String {
    heading
        .trim_start_matches('#')
        .trim()
        .to_lowercase()
        .chars()
        .filter(|letter| letter.is_alphanumeric() || [' ', '-'].contains(letter))
        .map(|letter| if letter == ' ' { '-' } else { letter })
        .collect()
}

/// A number cut to ten significant digits is off by no more than half a unit of the tenth, relative to 1.000000000;
/// reading either number back may be off in the last binary digit on top, which is far less.
const CUT_TO_TEN_DIGITS: f64 = 0.5000001e-9;

/// The paths at which two results say different things, numbers cut to ten digits counting as the same.
fn differences(full: &Value, kept: &Value, path: &str) -> Vec<String> {
    match (full, kept) {
        (Value::Number(full), Value::Number(kept)) => {
            let [full, kept] = [full, kept].map(|number| number.as_f64().expect("a number"));
            if (full - kept).abs() <= CUT_TO_TEN_DIGITS * full.abs() {
                Vec::new()
            } else {
                vec![format!("{path}: {full} and {kept}")]
            }
        }
        (Value::Array(full), Value::Array(kept)) if full.len() == kept.len() => full
            .iter()
            .zip(kept)
            .enumerate()
            .flat_map(|(position, (full, kept))| {
                differences(full, kept, &format!("{path}/{position}"))
            })
            .collect(),
        (Value::Object(full), Value::Object(kept)) if full.keys().eq(kept.keys()) => full
            .iter()
            .flat_map(|(key, full)| differences(full, &kept[key], &format!("{path}/{key}")))
            .collect(),
        _ if full == kept => Vec::new(),
        _ => vec![format!("{path}: {full} and {kept}")],
    }
}

#[test]
fn the_object_on_stdout_is_the_committed_result_with_all_digits() {
    for name in CAMPAIGNS {
        let out = tempfile::tempdir().expect("a temporary folder can be made");
        let folder = out.path().to_str().expect("a path in UTF-8");
        let path = campaign(name);
        let path = path.to_str().expect("a path in UTF-8");
        let printed = residuum(&["report", path, "--json", "--out", folder]).json();
        let mut kept: Value =
            serde_json::from_str(text(&committed(name), "result.json")).expect("JSON");
        let object = kept.as_object_mut().expect("an object");
        for key in ["manifest", "source"] {
            assert!(object.remove(key).is_some(), "{name}: no {key}");
        }
        assert_ne!(printed, kept, "{name}: stdout carries no more digits");
        let differences = differences(&printed, &kept, name);
        assert!(differences.is_empty(), "{}", differences.join("\n"));
    }
}

#[test]
fn no_number_of_a_result_is_missing_without_a_reason() {
    // A null yield has its reason beside it; nothing is ever NaN, which JSON could not hold.
    for name in CAMPAIGNS {
        let files = committed(name);
        let result: Value = serde_json::from_str(text(&files, "result.json")).expect("JSON");
        for run in result["yields"].as_array().expect("yields") {
            for key in ["contained", "purity", "closure"] {
                let reason = &run["reasons"][key];
                assert_eq!(run[key].is_null(), reason.is_string(), "{key} of {run}");
            }
        }
        for (path, bytes) in &files {
            let text = String::from_utf8_lossy(bytes);
            let words = text.split(|letter: char| !letter.is_alphanumeric());
            let bad = ["NaN", "inf", "Infinity", "Ok", "Err", "Some", "None"];
            let mut found = words.filter(|word| bad.contains(word));
            assert_eq!(found.next(), None, "{name}/{path}");
        }
    }
}

#[test]
fn the_answers_that_the_readme_shows_stand_in_the_report() {
    let readme = std::fs::read_to_string(root().join("README.md")).expect("the README");
    let files = committed("bluestone");
    let report: BTreeSet<String> = text(&files, "report.md")
        .lines()
        .map(without_links)
        .collect();
    let quoted: Vec<&str> = readme
        .lines()
        .filter_map(|line| line.strip_prefix("> "))
        .collect();
    assert!(quoted.len() > 3, "the README quotes the first screen");
    for line in quoted {
        assert!(report.contains(line), "not in the report: {line}");
    }
}
