//! What does a round analyse again, and what does it say has changed?
//!
//! In: small campaigns whose logs grow, are corrected or spoilt between rounds. Out: tests of lines, entries and reports.
//! This module never tests how two records are compared: that stands beside the comparison.

use std::fs;

use serde_json::json;

use super::place::{Place, files_below, whole};

#[test]
fn an_unchanged_round_touches_no_file() {
    let place = Place::with(&["a", "b"]);
    place.check(0, &["new a", "new b"]);
    place.check(0, &["unchanged a", "unchanged b"]);
    let times = || -> Vec<_> {
        files_below(&place.at("out"))
            .into_keys()
            .filter(|path| !path.ends_with("lock"))
            .map(|path| {
                let time = fs::metadata(&path).and_then(|metadata| metadata.modified());
                (path, time.expect("the file has a time"))
            })
            .collect()
    };
    let before = times();
    place.check(0, &["unchanged a", "unchanged b"]);
    assert_eq!(times(), before);
}

#[test]
fn one_changed_campaign_leaves_the_others_alone() {
    let place = Place::with(&["a", "b"]);
    place.check(0, &["new a", "new b"]);
    let before = files_below(&place.at("out/a"));
    place.log_a_run("b", "R3", 48.2);
    let outcome = place.check(0, &["unchanged a", "changed b"]);
    assert_eq!(
        outcome.stdout.lines().nth(1),
        Some("changed    b: 3 runs, 1 new")
    );
    assert!(files_below(&place.at("out/a")) == before);
    assert!(
        place
            .read("out/b/report.md")
            .contains("- New runs (1): R3.\n")
    );
    assert!(!place.read("out/a/report.md").contains("Since last time"));
}

#[test]
fn a_file_that_says_the_same_at_another_time_changes_nothing() {
    let place = Place::with(&["a"]);
    place.check(0, &["new a"]);
    let log = place.read("all/a/runs.csv");
    place.write("all/a/runs.csv", &log);
    place.check(0, &["unchanged a"]);
}

#[test]
fn every_file_that_the_campaign_names_counts_and_no_other() {
    let place = Place::with(&["a"]);
    let campaign = place.read("all/a/campaign.toml");
    let named = "runs = \"runs.csv\"\nreadings = \"furnace/*.csv\"\n";
    place.write(
        "all/a/campaign.toml",
        &campaign.replace("runs = \"runs.csv\"\n", named),
    );
    place.write("all/a/furnace/R1.csv", "time,temperature\n0,20\n60,700\n");
    place.check(0, &["new a"]);
    place.write("all/a/notes.txt", "not a log\n");
    place.check(0, &["unchanged a"]);
    place.write("all/a/furnace/R2.csv", "time,temperature\n0,20\n60,710\n");
    place.check(0, &["changed a"]);
    let parts = |place: &Place| place.entry("a")["since"]["inputs"].clone();
    assert_eq!(parts(&place), json!(["readings log"]));
    fs::rename(
        place.at("all/a/furnace/R2.csv"),
        place.at("all/a/furnace/R2b.csv"),
    )
    .expect("it can be renamed");
    assert!(
        place.round(&[]).stdout.starts_with("changed    a"),
        "a name counts too"
    );
    place.write("all/a/campaign.toml", &campaign);
    assert!(place.round(&[]).stdout.starts_with("changed    a"));
    assert_eq!(parts(&place), json!(["campaign file", "readings log"]));
}

#[test]
fn other_options_make_another_report() {
    let place = Place::with(&["a"]);
    place.check(0, &["new a"]);
    let outcome = place.round(&["--seed", "2"]);
    assert!(
        outcome.stdout.starts_with("changed    a"),
        "{}",
        outcome.stdout
    );
    assert!(
        place
            .read("out/a/report.md")
            .contains("What changed in the inputs: options.")
    );
    assert_eq!(place.round(&["--seed", "2"]).stdout, "unchanged  a\n");
}

#[test]
fn a_run_that_is_corrected_gone_or_left_out_raises_a_flag() {
    let place = Place::with(&["a"]);
    place.log_a_run("a", "R3", 48.2);
    place.check(0, &["new a"]);
    let log = place.read("all/a/runs.csv");
    place.write(
        "all/a/runs.csv",
        &log.replace("R2,100,0.80,49.6", "R2,100,0.80,56.9"),
    );
    let outcome = place.check(1, &["changed a"]);
    assert!(
        outcome
            .stdout
            .contains("another yield of an earlier run: R2\n"),
        "{}",
        outcome.stdout
    );
    assert_eq!(place.entry("a")["flags"], json!(["earlier_runs"]));
    place.check(0, &["unchanged a"]);
    place.write(
        "all/a/runs.csv",
        &log.replace("R3,100,0.80,48.2", "R3,many,0.80,48.2"),
    );
    place.check(1, &["changed a"]);
    assert_eq!(
        place.entry("a")["flags"],
        json!(["left_out", "earlier_runs"])
    );
    assert_eq!(place.entry("a")["since"]["gone_runs"], json!([]));
    assert!(
        place
            .read("out/a/report.md")
            .contains("- Newly left out by a fault: R3 in runs.csv: "),
        "{}",
        place.read("out/a/report.md")
    );
    place.write(
        "all/a/runs.csv",
        &log.replace("R2,100,0.80,49.6,1.00\n", ""),
    );
    place.check(1, &["changed a"]);
    assert_eq!(place.entry("a")["since"]["gone_runs"], json!(["R2"]));
    assert_eq!(place.entry("a")["since"]["new_runs"], json!(["R3"]));
}

#[test]
fn a_campaign_that_cannot_be_analysed_keeps_its_report_and_stops_no_other() {
    let place = Place::with(&["a", "b", "c"]);
    place.check(0, &["new a", "new b", "new c"]);
    let before = files_below(&place.at("out/b"));
    let log = place.read("all/b/runs.csv");
    place.write("all/b/runs.csv", "run,feed_mass\n");
    place.log_a_run("c", "R3", 48.2);
    let outcome = place.check(2, &["unchanged a", "failed b", "changed c"]);
    assert!(
        outcome.stderr.starts_with("error: b: "),
        "{}",
        outcome.stderr
    );
    assert!(outcome.stderr.contains("\n\nhint: "), "{}", outcome.stderr);
    assert!(files_below(&place.at("out/b")) == before);
    let entry = place.entry("b");
    assert_eq!(entry["stale"], true);
    assert_eq!(entry["report"], "b/report.md");
    assert_eq!(entry["runs"], 2, "what was known stays");
    let index = place.read("out/index.md");
    assert!(index.contains("failed, report stale"), "{index}");
    assert!(index.contains("the report is that of before"), "{index}");
    place.check(2, &["unchanged a", "failed b", "unchanged c"]);
    place.write("all/b/runs.csv", &log);
    place.check(0, &["unchanged a", "unchanged b", "unchanged c"]);
    assert_eq!(place.entry("b")["stale"], false);
}

#[test]
fn a_campaign_that_never_could_be_analysed_has_no_report() {
    let place = Place::with(&["a"]);
    place.write("all/a/campaign.toml", "[campaign\n");
    let outcome = place.check(2, &["failed a"]);
    assert!(
        outcome.stdout.ends_with("; there is no report\n"),
        "{}",
        outcome.stdout
    );
    assert_eq!(place.entry("a")["report"], json!(null));
    assert!(!place.at("out/a").exists());
}

#[test]
fn a_report_that_was_damaged_or_removed_is_made_anew_with_the_same_bytes() {
    let place = Place::with(&["a"]);
    place.check(0, &["new a"]);
    place.log_a_run("a", "R3", 48.2);
    place.check(0, &["changed a"]);
    let before = files_below(&place.at("out/a"));
    let spoil: [&dyn Fn(); 5] = [
        &|| fs::remove_dir_all(place.at("out/a")).expect("it can be removed"),
        &|| fs::remove_file(place.at("out/a/report.md")).expect("it can be removed"),
        &|| place.write("out/a/report.md", "another\n"),
        &|| place.write("out/a/result.json", "{"),
        &|| {
            let result = place.read("out/a/result.json");
            place.write(
                "out/a/result.json",
                &result.replace("\"inputs\"", "\"outputs\""),
            );
        },
    ];
    for (position, spoil) in spoil.iter().enumerate() {
        spoil();
        if position == 3 {
            // Without its manifest the folder could be anybody's, so it is not touched.
            place.check(2, &["failed a"]);
            fs::remove_dir_all(place.at("out/a")).expect("it can be removed");
        }
        place.check(0, &["remade a"]);
        assert!(files_below(&place.at("out/a")) == before, "case {position}");
        place.check(0, &["unchanged a"]);
    }
    assert_eq!(
        place
            .read("out/.residuum/history/a/records.jsonl")
            .lines()
            .count(),
        2
    );
}

#[test]
fn without_what_was_kept_to_save_time_nothing_is_analysed_again_and_nothing_lost() {
    let place = Place::with(&["a"]);
    place.check(0, &["new a"]);
    place.log_a_run("a", "R3", 48.2);
    place.check(0, &["changed a"]);
    let before = place.kept("out");
    for spoilt in [None, Some("{"), Some("{\"a\": 3}")] {
        let seen = place.at("out/.residuum/seen.json");
        match spoilt {
            None => fs::remove_file(seen).expect("it can be removed"),
            Some(text) => fs::write(seen, text).expect("it can be written"),
        }
        place.check(0, &["changed a"]);
        assert!(place.kept("out") == before);
    }
    place.check(0, &["unchanged a"]);
}

#[test]
fn a_last_line_of_the_history_that_was_cut_short_is_put_aside_and_told() {
    let place = Place::with(&["a"]);
    place.check(0, &["new a"]);
    place.log_a_run("a", "R3", 48.2);
    place.check(0, &["changed a"]);
    let records = "out/.residuum/history/a/records.jsonl";
    let both = place.read(records);
    let report = place.read("out/a/report.md");
    let first = both.lines().next().expect("there is a line");
    let torn = &both[..first.len() + 200];
    place.write(records, torn);
    let outcome = place.round(&[]);
    assert_eq!(outcome.exit_code, 0);
    assert_eq!(
        outcome.stdout,
        "remade     a: 3 runs; the last line of its history was cut short; its 199 bytes were put aside\n"
    );
    assert_eq!(place.read(records), both);
    assert_eq!(
        place.read("out/.residuum/history/a/torn.txt"),
        torn[first.len() + 1..]
    );
    assert_eq!(place.read("out/a/report.md"), report);
    assert_eq!(place.round(&[]).stdout, "unchanged  a\n");
}

#[test]
fn a_log_that_goes_back_to_what_it_was_is_a_change_like_any_other() {
    let place = Place::with(&["a"]);
    place.check(0, &["new a"]);
    let log = place.read("all/a/runs.csv");
    place.log_a_run("a", "R3", 48.2);
    place.check(0, &["changed a"]);
    place.write("all/a/runs.csv", &log);
    place.check(1, &["changed a"]);
    assert_eq!(place.entry("a")["since"]["gone_runs"], json!(["R3"]));
    assert_eq!(
        place
            .read("out/.residuum/history/a/records.jsonl")
            .lines()
            .count(),
        3
    );
    whole(&place.at("out/a")).expect("the report is whole");
}

#[test]
fn a_report_that_another_call_put_there_is_made_anew() {
    let place = Place::with(&["a"]);
    place.check(0, &["new a"]);
    let arguments = [
        "report".into(),
        place.at("all/a"),
        "--out".into(),
        place.at("out"),
    ];
    assert_eq!(crate::support::residuum(&arguments).exit_code, 0);
    place.check(0, &["remade a"]);
    whole(&place.at("out/a")).expect("the report is whole");
}
