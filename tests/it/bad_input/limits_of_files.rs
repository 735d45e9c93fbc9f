//! Is what no log can be told as such, and nothing read that the campaign file should not lead to?
//!
//! In: cells, headings, lines and lists beyond all measure; paths, links, pipes and devices outside of the folder. Out: tests of the whole
//! message.
//! This module never makes a file that a limit would let through by its size alone: `named_logs.rs` does.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use super::bench::{
    CAMPAIGN, CROPS, Edit, RUNS, campaign, change, whole, with_column, write_campaign,
};
use super::promises::{call, check_stops, fault, faults_of};
use crate::support::{CampaignFolder, list, residuum};

const COPY_IT: &str = "copy it into the folder, or call with `--allow-outside` if you trust whoever wrote the campaign file";

#[test]
fn a_cell_that_is_far_too_long_stops_with_its_line_and_column() {
    let note = "x".repeat(10_001);
    check_stops(
        &[whole("runs.csv", with_column(RUNS, "note", "R3", &note))],
        &[fault(
            "column `note` in `runs.csv` line 4 holds 10001 characters, more than 10000",
            "shorten it, and look for a quote in that line that is opened or closed in the wrong place",
        )
        .in_file("runs.csv")
        .on_line(4)
        .in_column("note")],
    );
    let longest = with_column(RUNS, "note", "R3", &note[1..]);
    check_sound(campaign(&[whole("runs.csv", longest)]).path(), &[]);
}

#[test]
fn a_heading_that_is_far_too_long_stops_with_its_place_among_them() {
    check_stops(
        &[change("runs.csv", "bath", "x".repeat(10_001))],
        &[fault(
            "column `(column 6)` in `runs.csv` line 1 holds 10001 characters, more than 10000",
            "shorten it, and look for a quote in that line that is opened or closed in the wrong place",
        )
        .in_file("runs.csv")
        .on_line(1)
        .in_column("(column 6)")],
    );
}

#[test]
fn too_many_columns_stop_with_their_number() {
    let more: String = (0..2_000).map(|column| format!(",c{column}")).collect();
    let cells = ",".repeat(2_000);
    let crops = CROPS.lines().enumerate().map(|(line, text)| match line {
        0 => format!("{text}{more}\n"),
        _ => format!("{text}{cells}\n"),
    });
    check_stops(
        &[whole("crops.csv", crops.collect::<String>())],
        &[fault(
            "`crops.csv` line 1 has 2003 headings, more than 2000",
            "check that runs stand in rows and what is known of them in columns, and that the separator is the right one",
        )
        .in_file("crops.csv")
        .on_line(1)],
    );
}

#[test]
fn too_many_lines_stop_on_the_first_of_them() {
    let crops = CROPS.to_string() + &"\n".repeat(2_000_000);
    check_stops(
        &[whole("crops.csv", crops)],
        &[fault(
            "`crops.csv` has more than 2000000 lines",
            "divide it into several logs, or log readings less often",
        )
        .in_file("crops.csv")
        .on_line(2_000_001)],
    );
}

/// The sound campaign with a key that nests so deep, in each way of nesting.
fn nested(depth: usize) -> [String; 4] {
    let lists = format!("deep = {}{}\n", "[".repeat(depth), "]".repeat(depth));
    let tables = format!("deep = {}1{}\n", "{a = ".repeat(depth), "}".repeat(depth));
    let keys = format!("{}x = 1\n", "a.".repeat(depth));
    let heading = format!("[{}a]\n", "a.".repeat(depth - 1));
    [lists, tables, keys, heading].map(|key| format!("{key}{CAMPAIGN}"))
}

#[test]
fn lists_and_tables_that_nest_too_deep_are_told_once() {
    let message =
        "lists and tables stand inside one another more than 32 deep, in `campaign.toml` line 1";
    for depth in [33, 60, 79, 81, 200, 100_000] {
        for text in nested(depth) {
            let found = faults_of(campaign(&[whole("campaign.toml", text)]).path());
            let stops = list(&found, "stops");
            let told = stops.iter().filter(|stop| stop["reason"] == message);
            assert_eq!(told.count(), 1, "{depth}: {stops:?}");
            assert_eq!(stops[0]["line"], 1);
            assert_eq!(
                stops[0]["hint"],
                "write the value as `residuum start` shows it; nothing here nests further than a few brackets"
            );
        }
    }
    for text in nested(32) {
        let found = faults_of(campaign(&[whole("campaign.toml", text)]).path());
        let stops = list(&found, "stops");
        assert!(
            stops.iter().all(|stop| stop["reason"] != message),
            "{stops:?}"
        );
    }
}

fn check_sound(folder: &Path, options: &[&str]) {
    let options = [&["--strict"], options].concat();
    let outcome = call("yields", folder, folder, &options);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
}

/// The sound campaign in a folder of its own, with its crops at this path.
fn with_crops_at(path: &str) -> CampaignFolder {
    let place = CampaignFolder::new();
    let edits: [Edit; 1] = [change(
        "campaign.toml",
        "\"crops.csv\"",
        format!("{path:?}"),
    )];
    write_campaign(&place.path().join("scale"), &edits);
    place.with("shared/crops.csv", CROPS)
}

/// Every call stops with this fault on the line of the campaign file, and none does that allows it.
fn check_outside(place: &CampaignFolder, path: &str, what: &str) {
    let folder = place.path().join("scale");
    let reason = format!("`{path}`, which `campaign.toml` line 11 names, {what}");
    let found = faults_of(&folder);
    let stops = list(&found, "stops");
    assert_eq!(stops.len(), 1, "{stops:?}");
    assert_eq!(stops[0]["reason"], reason.as_str());
    assert_eq!(stops[0]["hint"], COPY_IT);
    assert_eq!(
        (&stops[0]["file"], &stops[0]["line"]),
        (&"campaign.toml".into(), &11.into())
    );
    let out = place.path().join("out");
    let calls = [
        "yields", "fit", "routes", "recycle", "settings", "next", "drift", "report",
    ];
    for name in calls {
        let outcome = call(name, &folder, &out, &[]);
        assert_eq!(outcome.exit_code, 2, "{name}");
        assert_eq!(
            outcome.stderr,
            format!("error: {reason}\n\nhint: {COPY_IT}\n"),
            "{name}"
        );
    }
    assert!(!out.exists());
    check_sound(&folder, &["--allow-outside"]);
    let checked = call("check", &folder, &out, &["--allow-outside"]);
    assert_eq!(checked.exit_code, 0, "{}", checked.stdout);
    let report = call("report", &folder, &out, &["--allow-outside"]);
    assert_eq!(report.exit_code, 0, "{}", report.stderr);
}

const OUTSIDE: &str = "lies outside of the folder of `campaign.toml`";

#[test]
fn a_path_that_leaves_the_folder_needs_to_be_allowed() {
    for path in [
        "../shared/crops.csv",
        "../shared/*.csv",
        "notes/../../shared/crops.csv",
    ] {
        let place = with_crops_at(path);
        std::fs::create_dir_all(place.path().join("scale/notes")).expect("a folder can be made");
        check_outside(&place, path, OUTSIDE);
    }
    let place = with_crops_at("crops.csv");
    let path = place.path().join("shared/crops.csv").display().to_string();
    let text = CAMPAIGN.replace("\"crops.csv\"", &format!("{path:?}"));
    check_outside(&place.with("scale/campaign.toml", &text), &path, OUTSIDE);
}

#[test]
fn a_path_that_leads_back_into_the_folder_needs_nothing() {
    let place = with_crops_at("notes/../crops.csv");
    std::fs::create_dir_all(place.path().join("scale/notes")).expect("a folder can be made");
    check_sound(&place.path().join("scale"), &[]);
    let path = place.path().join("scale/crops.csv").display().to_string();
    let text = CAMPAIGN.replace("\"crops.csv\"", &format!("{path:?}"));
    let place = place.with("scale/campaign.toml", &text);
    check_sound(&place.path().join("scale"), &[]);
}

#[test]
fn a_round_reads_nothing_outside_unless_it_is_allowed() {
    let place = with_crops_at("../shared/crops.csv");
    let [all, out] = ["scale", "out"].map(|name| place.path().join(name).display().to_string());
    let refused = residuum(&["rounds", &all, "--out", &out]);
    assert_eq!(refused.exit_code, 2);
    assert!(refused.stderr.contains(OUTSIDE), "{}", refused.stderr);
    let allowed = residuum(&["rounds", &all, "--out", &out, "--allow-outside"]);
    assert_eq!(allowed.exit_code, 0, "{}", allowed.stderr);
}

#[cfg(unix)]
mod links {
    use std::os::unix::fs::symlink;

    use super::*;

    const LINK: &str = "is a link out of the folder of `campaign.toml`";

    #[test]
    fn a_link_that_leads_outside_needs_to_be_allowed() {
        let place = with_crops_at("crops.csv");
        let crops = place.path().join("scale/crops.csv");
        std::fs::remove_file(&crops).expect("the log is there");
        symlink("../shared/crops.csv", &crops).expect("a link can be made");
        check_outside(&place, "crops.csv", LINK);
        // A link of a folder, by a pattern: the first file stands for all.
        let place = with_crops_at("linked/*.csv").with("shared/d.csv", "run,crop,mass\n");
        std::fs::remove_file(place.path().join("shared/d.csv")).expect("it is there");
        symlink("../shared", place.path().join("scale/linked")).expect("a link can be made");
        check_outside(&place, "linked/crops.csv", LINK);
    }

    #[test]
    fn a_link_within_the_folder_needs_nothing() {
        let place = with_crops_at("linked.csv");
        symlink("crops.csv", place.path().join("scale/linked.csv")).expect("a link can be made");
        check_sound(&place.path().join("scale"), &[]);
        // The folder itself may be a link.
        symlink("scale", place.path().join("other")).expect("a link can be made");
        check_sound(&place.path().join("other"), &[]);
    }

    #[test]
    fn pipes_and_devices_are_refused_at_once_wherever_they_lie() {
        let place = with_crops_at("pipe.csv");
        let pipe = place.path().join("scale/pipe.csv");
        let made = Command::new("mkfifo").arg(&pipe).status();
        assert!(made.expect("the system makes pipes").success());
        let start = Instant::now();
        let not_read = "write the log into a file first; pipes and devices are not read";
        let check = |place: &CampaignFolder, path: &str, options: &[&str]| {
            let out = place.path().join("out");
            let outcome = call("yields", &place.path().join("scale"), &out, options);
            let told = format!("error: `{path}` is no ordinary file\n\nhint: {not_read}\n");
            assert_eq!((outcome.exit_code, outcome.stderr), (2, told));
        };
        check(&place, "pipe.csv", &[]);
        check(&place, "pipe.csv", &["--allow-outside"]);
        for device in ["/dev/zero", "/dev/tty"] {
            check(&with_crops_at(device), device, &["--allow-outside"]);
        }
        assert!(start.elapsed() < Duration::from_secs(20), "nothing waits");
    }
}
