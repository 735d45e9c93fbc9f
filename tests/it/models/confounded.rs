//! Is it said in words what the bluestone log cannot tell apart, and what would tell?
//!
//! In: the committed report on bluestone, in whose log one heating was only ever used on one lot, and that lot for
//! nothing else (`data-demo/README.md`). Out: tests of its first screen and of its sections.
//! This module never asks whether the report is what the program writes now: `reports.rs` does.

use std::path::Path;

use serde_json::Value;

use super::agreement::Report;
use crate::support::list;

/// Both sides of what was only ever changed together.
const TANGLED: [&str; 2] = ["heating: kiln", "lot: D"];

/// What stands above the list.
const SECTION: &str = "What cannot be told apart, and which runs would tell:";

fn groups(model: &Value) -> &[Value] {
    let groups = list(model, "not_separable");
    assert_eq!(groups.len(), 1, "one thing is tangled: {groups:?}");
    groups
}

#[test]
fn the_first_screen_names_the_confounding_of_lot_and_heating_in_words() {
    let report = Report::committed("bluestone");
    // Said once, for the first response.
    let answer = report.answer("3 What moves yield?");
    assert!(
        answer.contains("Kiln and lot D cannot be told apart."),
        "{answer}"
    );
    for response in ["yield", "purity"] {
        let answer = report.answer(&format!("3 What moves {response}?"));
        // A question with a part that cannot be told is not settled.
        assert!(answer.contains("open*"), "{answer}");
        assert!(
            !answer.contains("kiln 0"),
            "the kiln has no figure: {answer}"
        );
    }
}

#[test]
fn the_first_screen_asks_for_a_run_that_would_tell_them_apart() {
    let report = Report::committed("bluestone");
    let answer = report.answer("7 What next?");
    let first = groups(report.model("yield"))[0]["runs_that_would_separate"][0].clone();
    let first = first.as_str().expect("a run in words");
    assert!(first.contains(TANGLED[0]), "{first}");
    let asked = format!("to tell apart {}", TANGLED[0]);
    assert!(answer.contains(&asked), "{answer}");
    assert!(answer.ends_with("*open*"), "{answer}");
}

#[test]
fn the_section_says_why_they_cannot_be_told_apart_and_lists_the_runs_that_would_tell() {
    let report = Report::committed("bluestone");
    for response in ["yield", "purity"] {
        let section = report.section(&format!("## 3 What moves {response}?"));
        let told = section.split_once(SECTION).expect("the section").1;
        let lines: Vec<&str> = told
            .lines()
            .skip_while(|line| !line.starts_with("- "))
            .take_while(|line| line.starts_with("- "))
            .collect();
        assert_eq!(lines.len(), 1, "{lines:?}");
        for group in groups(report.model(response)) {
            assert_eq!(group["terms"], serde_json::json!(TANGLED));
            assert!(lines[0].contains(&TANGLED.join(", ")), "{}", lines[0]);
            let why = group["why"].as_str().expect("a reason in words");
            assert!(lines[0].contains(why), "{}", lines[0]);
            let runs = list(group, "runs_that_would_separate");
            assert_eq!(runs.len(), 2, "one run for each side: {runs:?}");
            for run in runs {
                let run = run.as_str().expect("a run in words");
                assert!(lines[0].contains(run), "{run} in {}", lines[0]);
            }
        }
    }
}

#[test]
fn the_runs_that_would_tell_are_not_in_the_log_and_break_the_confounding() {
    // Each proposal takes one side of the pair with a level of the other factor that the log never shows with it.
    let log = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone/runs.csv");
    let log = std::fs::read_to_string(log).expect("the log");
    let mut rows = log.lines().map(|line| line.split(',').collect::<Vec<_>>());
    let headings = rows.next().expect("headings");
    let column = |name: &str| {
        let position = headings.iter().position(|heading| *heading == name);
        position.unwrap_or_else(|| panic!("no column `{name}` among {headings:?}"))
    };
    let (heating, lot) = (column("heating"), column("lot"));
    for row in rows {
        assert_eq!(row[heating] == "kiln", row[lot] == "D", "{row:?}");
    }
    let report = Report::committed("bluestone");
    for run in list(
        &groups(report.model("yield"))[0],
        "runs_that_would_separate",
    ) {
        let run = run.as_str().expect("a run in words");
        let [kiln, lot_d] = TANGLED.map(|term| run.contains(&format!("`{term}`")));
        assert!(kiln != lot_d, "one side and not the other: {run}");
    }
}
