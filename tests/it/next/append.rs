//! Does `next --append` make a runs log longer whole or not at all, once, and as the log writes its own rows?
//!
//! In: the demo campaigns and a small one; logs that end with something else, are held by others or may not be written. Out: tests of
//! every byte of the log, and of the whole message.
//! This module never judges which runs are added.

use std::fs;
use std::path::Path;

use serde_json::json;

use super::{FACTORS, HEADINGS, LOG, demo, next, plain};
use crate::support::{CampaignFolder, Outcome, list, residuum};

/// The log of the small campaign with a column of dates.
pub fn dated(log: &str) -> String {
    let lines = log.lines().enumerate();
    let lines = lines.map(|(line, text)| match line {
        0 => format!("{text},date\n"),
        line => format!("{text},2025-03-0{line}\n"),
    });
    lines.collect()
}

pub fn folder(log: &str) -> CampaignFolder {
    plain(FACTORS, "", log)
}

pub fn append(folder: &Path, log: &str, options: &[&str]) -> Outcome {
    let log = folder.join(log).display().to_string();
    let mut all = vec!["--append", &log];
    all.extend(options);
    next(folder, &all)
}

pub fn read(folder: &Path, log: &str) -> String {
    let bytes = fs::read(folder.join(log)).expect("the log is there");
    String::from_utf8(bytes).expect("the log is UTF-8")
}

/// The call fails with this message, and the log holds what it held; nothing lies beside it.
pub fn check_refused(folder: &Path, options: &[&str], message: &str) {
    let names = || {
        let entries = fs::read_dir(folder).expect("the folder can be listed");
        let names = entries.map(|entry| entry.expect("an entry").file_name());
        let mut names: Vec<_> = names.collect();
        names.sort();
        names
    };
    let (before, files) = (fs::read(folder.join("runs.csv")), names());
    let outcome = append(folder, "runs.csv", options);
    let shown = folder.join("runs.csv").display().to_string();
    assert_eq!(outcome.stderr.replace(&shown, "runs.csv"), message);
    assert_eq!((outcome.exit_code, outcome.stdout.as_str()), (2, ""));
    assert_eq!(
        before.expect("a log"),
        fs::read(folder.join("runs.csv")).expect("a log")
    );
    assert_eq!(names(), files);
}

#[test]
fn the_runs_stand_behind_the_old_rows_and_are_planned_then() {
    for (name, log, runs, end) in [
        ("bluestone", "runs.csv", 64, "\n"),
        ("iodate", "charges.csv", 20, "\r\n"),
    ] {
        let folder = CampaignFolder::copy_of(&demo(name));
        let before = read(folder.path(), log);
        let said = append(folder.path(), log, &["--runs", "4", "--json"]).json();
        let names = ["next-1", "next-2", "next-3", "next-4"];
        assert_eq!(said["appended"], json!({ "file": log, "runs": names }));
        let after = read(folder.path(), log);
        let added = after.strip_prefix(&before).expect("every byte stays");
        assert!(
            added.ends_with(end) && added.lines().count() == 4,
            "{added}"
        );
        assert_eq!(added.matches(end).count(), 4);
        let found = residuum(&["yields", &folder.path().display().to_string(), "--json"]).json();
        assert_eq!(found["campaign"]["runs"], runs + 4);
        let plans = list(&found, "planned");
        for (plan, run) in plans.iter().zip(list(&said, "next_runs")) {
            for (factor, setting) in run["settings"].as_object().expect("settings") {
                let read = &plan["settings"][factor];
                match (setting.as_f64(), read.as_f64()) {
                    // A charge in milligrams moves an excess in per cent by less than a thousandth.
                    (Some(wanted), Some(read)) => {
                        assert!((wanted - read).abs() < 1e-3, "{factor}: {read}")
                    }
                    _ => assert_eq!(setting, read),
                }
            }
        }
        assert_eq!(plans.len(), 4);
    }
}

#[test]
fn asked_again_it_adds_nothing_and_says_so() {
    let folder = folder(&dated(LOG));
    let first = append(folder.path(), "runs.csv", &["--runs", "4", "--quiet"]);
    assert_eq!(first.exit_code, 0, "{}", first.stderr);
    assert!(
        first
            .stdout
            .ends_with("4 runs added to `runs.csv`: next-1, next-2, next-3, next-4\n")
    );
    let log = read(folder.path(), "runs.csv");
    let modified = || {
        fs::metadata(folder.path().join("runs.csv"))
            .and_then(|file| file.modified())
            .ok()
    };
    let before = modified();
    for seed in ["1", "2"] {
        let again = append(
            folder.path(),
            "runs.csv",
            &["--runs", "4", "--quiet", "--seed", seed],
        );
        assert_eq!(again.exit_code, 0);
        assert!(again.stdout.starts_with(
            "4 runs are planned in the log already: next-1, next-2, next-3 and next-4\n"
        ));
        assert!(
            again
                .stdout
                .ends_with("\nnothing had to be added to `runs.csv`\n")
        );
        assert_eq!(
            (read(folder.path(), "runs.csv"), modified()),
            (log.clone(), before)
        );
    }
    // One more is one more line; a run that is made makes room for another.
    append(folder.path(), "runs.csv", &["--runs", "5"]);
    assert_eq!(
        read(folder.path(), "runs.csv").lines().count(),
        log.lines().count() + 1
    );
    let made = read(folder.path(), "runs.csv").replacen(",,\n", ",5.0,2025-03-09\n", 1);
    fs::write(folder.path().join("runs.csv"), made).expect("the log can be written");
    append(folder.path(), "runs.csv", &["--runs", "5"]);
    assert_eq!(
        read(folder.path(), "runs.csv").lines().count(),
        log.lines().count() + 2
    );
}

#[test]
fn as_csv_it_prints_the_lines_alone_without_a_heading() {
    let folder = folder(&dated(LOG));
    let before = read(folder.path(), "runs.csv");
    let outcome = append(
        folder.path(),
        "runs.csv",
        &["--csv", "--quiet", "--runs", "3"],
    );
    assert_eq!(before + &outcome.stdout, read(folder.path(), "runs.csv"));
    assert!(outcome.stdout.starts_with("next-1,") && outcome.stdout.lines().count() == 3);
    let again = append(
        folder.path(),
        "runs.csv",
        &["--csv", "--quiet", "--runs", "3"],
    );
    assert_eq!((again.exit_code, again.stdout.as_str()), (0, ""));
}

#[test]
fn a_missing_last_line_end_is_mended_and_habits_of_quoting_are_kept() {
    let bare = dated(LOG);
    let bare = bare.trim_end();
    let quoted: String = bare
        .lines()
        .map(|line| format!("\"{}\"", line.replace(',', "\"\t\"")))
        .collect::<Vec<_>>()
        .join("\r\n");
    for (log, start) in [
        (bare.to_string(), "\nnext-1,"),
        (quoted, "\r\n\"next-1\"\t\""),
    ] {
        let folder = folder(&format!("\u{feff}{log}"));
        append(folder.path(), "runs.csv", &["--runs", "2"]);
        let after = read(folder.path(), "runs.csv");
        let added = after
            .strip_prefix(&format!("\u{feff}{log}"))
            .expect("every byte stays");
        assert!(added.starts_with(start), "{added:?}");
    }
}

#[test]
fn names_that_any_log_has_are_not_given_again() {
    let log = dated(LOG).replace("\na,", "\nnext-2,");
    let folder = folder(&log);
    append(folder.path(), "runs.csv", &["--runs", "2"]);
    let after = read(folder.path(), "runs.csv");
    assert!(
        after.contains("\nnext-1,") && after.contains("\nnext-3,"),
        "{after}"
    );
}

#[test]
fn the_first_runs_are_added_behind_the_headings() {
    let folder = folder("run,date,stirring,vessel,rate\n");
    append(folder.path(), "runs.csv", &["--runs", "4"]);
    assert_eq!(read(folder.path(), "runs.csv").lines().count(), 5);
    let again = append(folder.path(), "runs.csv", &["--runs", "4", "--json"]).json();
    assert_eq!(again["appended"]["runs"], json!([]));
    assert_eq!(
        again["next_runs_for"]["in_the_log"]
            .as_array()
            .map(Vec::len),
        Some(4)
    );
}

#[test]
fn the_right_one_of_several_logs_gets_longer() {
    let folder = folder(&dated(LOG)).with(
        "more.csv",
        "run,stirring,vessel,rate,date\ng,210,steel,5.0,2025-03-09\n",
    );
    let toml = read(folder.path(), "campaign.toml")
        .replace("\"runs.csv\"", "[\"runs.csv\", \"more.csv\"]");
    let folder = folder.with("campaign.toml", &toml);
    let before = read(folder.path(), "runs.csv");
    // As the campaign file calls it, wherever the call is made.
    let outcome = next(folder.path(), &["--append", "more.csv", "--runs", "2"]);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
    assert_eq!(read(folder.path(), "runs.csv"), before);
    assert_eq!(read(folder.path(), "more.csv").lines().count(), 4);
}

#[test]
fn what_is_no_runs_log_of_the_campaign_is_refused() {
    let folder = folder(&dated(LOG)).with("other.csv", HEADINGS);
    for (log, message) in [
        (
            "other.csv",
            "error: `other.csv` is no runs log that `campaign.toml` names\n\nhint: name a runs log of the campaign: `runs.csv`\n",
        ),
        (
            "gone.csv",
            "error: nothing can be added to `gone.csv`: No such file or directory (os error 2)\n\nhint: name a runs log of the campaign: `runs.csv`\n",
        ),
    ] {
        let outcome = append(folder.path(), log, &[]);
        let shown = folder.path().join(log).display().to_string();
        assert_eq!(outcome.stderr.replace(&shown, log), message);
        assert_eq!(outcome.exit_code, 2);
    }
    assert_eq!(read(folder.path(), "other.csv"), HEADINGS);
}

#[test]
fn nothing_is_added_behind_what_is_no_run() {
    for (end, told) in [
        (
            "Total,1150,,29.6,\n",
            "`runs.csv` line 8 is a row over other rows, behind which no run can be added: `Total`",
        ),
        (
            "rates by hand\n",
            "`runs.csv` line 8 is no run, and no run can be added behind it",
        ),
    ] {
        let folder = folder(&(dated(LOG) + end));
        check_refused(
            folder.path(),
            &["--quiet"],
            &format!(
                "error: {told}\n\nhint: take that line out, or copy the lines that `residuum next --csv` prints to where they belong\n"
            ),
        );
    }
}

#[test]
fn a_setting_that_no_column_keeps_is_refused() {
    // A campaign without a run knows no charge, and its log has no column for an excess of oxidant.
    let folder = CampaignFolder::copy_of(&demo("bluestone"));
    let log = read(folder.path(), "runs.csv");
    let heading = log.lines().next().expect("headings").to_string() + "\n";
    let toml = read(folder.path(), "campaign.toml");
    let toml = toml.lines().filter(|line| !line.starts_with("never = "));
    let toml: String = toml.map(|line| format!("{line}\n")).collect();
    let folder = folder
        .with("runs.csv", &heading)
        .with("campaign.toml", &toml);
    let outcome = append(folder.path(), "runs.csv", &["--runs", "20", "--quiet"]);
    assert_eq!(outcome.exit_code, 2);
    assert_eq!(
        outcome.stderr,
        "error: `runs.csv` has no column that keeps `oxidant_excess` of a planned run\n\nhint: add that column, or those that it is worked out from; `residuum next` prints the settings to be written by hand\n"
    );
    assert_eq!(read(folder.path(), "runs.csv"), heading);
}
