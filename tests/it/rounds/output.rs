//! What does a round say, to whom, and does it say the same whoever does the work?
//!
//! In: options of `rounds`. Out: tests of stdout, stderr, exit codes, and every byte of the output folder.
//! This module never looks into reports.

use pulldown_cmark::{Event, Tag};
use serde_json::{Value, json};

use super::place::Place;
use crate::markdown::events;

#[test]
fn any_number_of_threads_writes_the_same_bytes() {
    let place = Place::with(&["a", "b", "c/d", "e", "f", "g", "h"]);
    place.write("all/f/runs.csv", "");
    let outs = ["one", "two", "many"];
    let on = |threads: &str, out: &str| {
        let out = place.at(out);
        let outcome = place.round(&["--threads", threads, "--out", out.to_str().expect("UTF-8")]);
        assert_eq!(outcome.exit_code, 2, "{}", outcome.stderr);
        outcome.stdout
    };
    for _ in 0..2 {
        let lines = [on("1", outs[0]), on("2", outs[1]), on("16", outs[2])];
        assert!(lines[1] == lines[0] && lines[2] == lines[0]);
        let first = place.kept(outs[0]);
        assert!(first.len() > 20);
        assert!(place.kept(outs[1]) == first);
        assert!(place.kept(outs[2]) == first);
        place.log_a_run("b", "R3", 48.2);
    }
}

#[test]
fn the_same_round_again_writes_the_same_bytes() {
    let place = Place::with(&["a", "b"]);
    place.round(&[]);
    let first = place.kept("out");
    std::fs::remove_dir_all(place.at("out")).expect("it can be removed");
    place.round(&[]);
    assert!(place.kept("out") == first);
}

#[test]
fn a_line_a_campaign_goes_to_stdout_and_the_sum_to_stderr() {
    let place = Place::with(&["a", "b"]);
    place.write("all/b/runs.csv", "");
    let outcome = place.round(&[]);
    let lines: Vec<&str> = outcome.stdout.lines().collect();
    assert_eq!(lines[0], "new        a: 2 runs");
    assert!(lines[1].starts_with("failed     b: "), "{}", lines[1]);
    assert_eq!(lines.len(), 2);
    assert!(
        outcome.stderr.ends_with("2 campaigns: 1 failed, 1 new\n"),
        "{}",
        outcome.stderr
    );
    assert!(!outcome.stdout.contains('\u{1b}') && !outcome.stderr.contains('\u{1b}'));
    let quiet = place.round(&["--quiet"]);
    assert!(quiet.stderr.starts_with("error: b: "), "{}", quiet.stderr);
    assert!(!quiet.stderr.contains("2 campaigns"));
}

#[test]
fn a_log_for_programs_is_one_object_a_line_and_nothing_else() {
    let place = Place::with(&["a", "b"]);
    place.round(&[]);
    place.log_a_run("a", "R3", 48.2);
    place.write("all/b/campaign.toml", "");
    let outcome = place.round(&["--log", "json"]);
    assert_eq!(outcome.stderr, "");
    assert_eq!(outcome.exit_code, 2);
    let lines: Vec<Value> = outcome
        .stdout
        .lines()
        .map(|line| serde_json::from_str(line).expect("a line is an object"))
        .collect();
    assert_eq!(lines.len(), 2);
    assert_eq!(lines[0]["campaign"], "a");
    assert_eq!(lines[0]["standing"], "changed");
    assert_eq!(lines[0]["runs"], 3);
    assert_eq!(lines[0]["new_runs"], 1);
    assert_eq!(lines[0]["flags"], json!([]));
    assert_eq!(lines[1]["standing"], "failed");
    assert_eq!(lines[1]["stale"], true);
    assert!(lines[1]["faults"][0]["what"].is_string());
}

#[test]
fn the_result_as_json_is_what_is_kept() {
    let place = Place::with(&["a"]);
    let outcome = place.round(&["--json"]);
    assert_eq!(outcome.stderr, "");
    let kept: Value = serde_json::from_str(&place.read("out/rounds.json")).expect("JSON");
    assert_eq!(outcome.json(), kept);
    assert_eq!(kept["summary"], "1 campaign: 1 new");
    let entry = &kept["campaigns"][0];
    assert_eq!(entry["title"], "Small");
    assert_eq!(entry["report"], "a/report.md");
    assert_eq!(entry["inputs"].as_str().map(str::len), Some(64));
}

#[test]
fn a_time_stands_in_the_index_alone_and_only_when_asked_for() {
    let place = Place::with(&["a"]);
    place.round(&[]);
    let before = place.kept("out");
    let index = place.read("out/index.md");
    place.round(&[]);
    let undated = place.kept("out");
    place.round(&["--dated"]);
    let dated = place.kept("out");
    let differ: Vec<_> = dated
        .iter()
        .filter(|(path, bytes)| undated.get(*path) != Some(bytes))
        .collect();
    assert_eq!(differ.len(), 1);
    assert!(differ[0].0.ends_with("index.md"));
    let made = place.read("out/index.md");
    let made = made
        .lines()
        .find(|line| line.starts_with("Made "))
        .expect("a time");
    assert!(made.ends_with(" UTC."), "{made}");
    assert_eq!(made.len(), "Made 2031-01-02 03:04 UTC.".len());
    assert!(!index.contains("Made "));
    assert_eq!(before.len(), dated.len());
}

#[test]
fn doubts_count_when_they_are_asked_about() {
    let place = Place::with(&["a"]);
    assert_eq!(
        place.round(&["--strict"]).exit_code,
        0,
        "{}",
        place.read("out/rounds.json")
    );
    place.write(
        "all/a/runs.csv",
        "run,feed_mass,feed_assay,crop1_mass,purity\nR1,100,0.80,48,1.00\nR2,x,0.80,49,1\n",
    );
    place.round(&[]);
    assert_eq!(place.round(&[]).exit_code, 0);
    assert_eq!(place.round(&["--strict"]).exit_code, 1);
}

#[cfg(target_os = "linux")]
#[test]
fn names_of_folders_do_no_harm_where_they_are_shown() {
    let hostile = "a|b](x) <script>`c`\u{1b}[31m\nunchanged  d";
    let place = Place::with(&[hostile]);
    let outcome = place.round(&[]);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
    assert_eq!(outcome.stdout.lines().count(), 1, "{}", outcome.stdout);
    assert!(!outcome.stdout.contains('\u{1b}'));
    let index = place.read("out/index.md");
    assert!(
        !index.contains("<script>") && !index.contains('\u{1b}'),
        "{index}"
    );
    let links = events(&index).filter_map(|event| match event {
        Event::Start(Tag::Link { dest_url, .. }) => Some(dest_url.to_string()),
        _ => None,
    });
    let links: Vec<String> = links.collect();
    assert!(
        links.iter().all(|link| link.ends_with("report.md")),
        "{links:?}"
    );
    assert!(place.at("out").join(hostile).join("report.md").is_file());
    let line = place.round(&["--log", "json"]).stdout;
    let line: Value = serde_json::from_str(line.trim_end()).expect("one object");
    assert_eq!(line["campaign"], hostile);
}

#[test]
fn the_index_as_a_page_leads_to_pages() {
    let place = Place::with(&["a", "b"]);
    place.write("all/b/runs.csv", "");
    place.round(&["--page"]);
    let page = |name: &str| std::fs::read_to_string(place.at(name)).expect(name);
    let index = page("out/index.html");
    assert!(index.contains("href=\"a/report.html\""), "{index}");
    assert!(!index.contains("b/report.html") && index.contains("b"));
    assert!(page("out/a/report.html").starts_with("<!DOCTYPE html>"));
    assert!(page("out/index.md").contains("(a/report.md)"));
    // A round that asks for no pages keeps the index current, which leads to what is there.
    place.round(&[]);
    assert!(!place.at("out/a/report.html").exists());
    assert!(page("out/index.html").contains("href=\"a/report.md\""));
}
