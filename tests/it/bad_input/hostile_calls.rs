//! Does every call tell of hostile texts without letting them act, also in errors and hints?
//!
//! In: campaigns, arguments and folders that hold the hostile texts where a message shows them. Out: tests of both streams of each
//! call, as text and as JSON, and of every file of a round.
//! This module never holds a list of its own: `hostile_names.rs` does.

use std::ffi::OsStr;
use std::path::Path;

use serde_json::Value;

use super::bench::{CAMPAIGN, CROPS, RUNS, change, whole, write_campaign};
use super::hostile_names::{HOSTILE, steers};
use super::output::files_below;
use super::promises::call;
use crate::support::{CampaignFolder, Outcome, residuum};

/// Every call on one campaign.
const CALLS: [&str; 9] = [
    "check", "yields", "fit", "routes", "recycle", "settings", "next", "drift", "report",
];

fn quoted(cell: &str) -> String {
    format!("\"{}\"", cell.replace('"', "\"\""))
}

/// Text as TOML takes it between quotes.
fn toml(text: &str) -> String {
    let escaped = text.chars().map(|c| match c {
        '"' => "\\\"".to_string(),
        '\\' => "\\\\".to_string(),
        c if c.is_control() => format!("\\u{:04x}", u32::from(c)),
        c => c.to_string(),
    });
    format!("\"{}\"", escaped.collect::<String>())
}

/// Nothing steers the terminal.
fn check_steers_nothing(what: &str, outcome: &Outcome) {
    for told in [&outcome.stdout, &outcome.stderr] {
        assert_eq!(told.chars().find(|c| steers(*c)), None, "{what}: {told}");
    }
}

/// Nothing steers the terminal, and no name ends a line.
fn check_inert(what: &str, outcome: &Outcome) {
    check_steers_nothing(what, outcome);
    for told in [&outcome.stdout, &outcome.stderr] {
        assert!(!told.contains('\t'), "{what}: {told}");
        assert!(
            !told.lines().any(|line| line.starts_with("break")),
            "{what}: {told}"
        );
    }
}

/// Each call on a campaign, as text and as JSON; gives what was told in all.
fn check_calls(what: &str, campaign: &Path, out: &Path) -> String {
    let mut all = String::new();
    for name in CALLS {
        for options in [&[][..], &["--json"]] {
            let outcome = call(name, campaign, out, options);
            check_inert(&format!("{name} {options:?}: {what}"), &outcome);
            if !options.is_empty() && outcome.exit_code != 2 {
                let told: Value = serde_json::from_str(&outcome.stdout).expect("JSON");
                assert!(told.is_object(), "{name}: {what}");
            }
            all += &(outcome.stdout + &outcome.stderr);
        }
    }
    all
}

/// A campaign with these edits; each part of what is told that must be seen stands in it.
fn check_told(what: &str, edits: &[super::bench::Edit], shown: &[&str]) {
    let place = CampaignFolder::new();
    let campaign = place.path().join("scale");
    write_campaign(&campaign, edits);
    let all = check_calls(what, &campaign, &place.path().join("out"));
    for part in shown {
        assert!(all.contains(part), "{what}: {part} is not in {all}");
    }
}

#[test]
fn cells_that_are_no_numbers_are_told_as_they_are() {
    let rows = HOSTILE.iter().enumerate();
    let rows = rows.map(|(row, cell)| format!("R{},{},1\n", 1 + row % 8, quoted(cell)));
    let crops = CROPS.replace("run,crop,mass", "run,mass,crop");
    let heading = crops.lines().next().expect("headings").to_string() + "\n";
    let log = heading + &rows.collect::<String>();
    check_told(
        "cells",
        &[whole("crops.csv", log)],
        &["\\u001b[31mred\\u0001", "left\\u202ethgir"],
    );
}

#[test]
fn names_that_stand_nowhere_else_are_told_as_they_are() {
    let rows = HOSTILE
        .iter()
        .map(|name| format!("{},1,50\n", quoted(name)));
    let log = CROPS.to_string() + &rows.collect::<String>();
    check_told(
        "runs of crops",
        &[whole("crops.csv", log)],
        &["\\u001b[31mred\\u0001"],
    );
}

#[test]
fn lots_that_stand_nowhere_else_are_told_as_they_are() {
    let lots = HOSTILE.iter().filter(|name| !name.contains(';'));
    let rows = lots
        .enumerate()
        .map(|(row, lot)| format!("X{row},2025-04-01,{},100,hob,60\n", quoted(lot)));
    let log = RUNS.to_string() + &rows.collect::<String>();
    check_told(
        "lots",
        &[whole("runs.csv", log)],
        &["\\u001b[31mred\\u0001"],
    );
}

#[test]
fn headings_are_told_as_they_are() {
    for text in HOSTILE {
        let log = RUNS.replacen("feed_mass", &quoted(&format!("feed_mas{text}")), 1);
        check_told("heading", &[whole("runs.csv", log)], &[]);
    }
}

#[test]
fn keys_and_values_of_the_campaign_file_are_told_as_they_are() {
    let keys = HOSTILE.map(|key| format!("{} = 1\n", toml(key))).concat();
    let texts = HOSTILE.map(toml).join(", ");
    let never = format!(
        "[settings]\nnever = [{{ {} = \"x\" }}]\n",
        toml(HOSTILE[17])
    );
    for (what, text) in [
        ("keys", format!("{CAMPAIGN}{keys}")),
        (
            "effects",
            CAMPAIGN.replace("[\"heating\"]", &format!("[{texts}]")),
        ),
        (
            "responses",
            CAMPAIGN.replace("[\"yield\"]", &format!("[{texts}]")),
        ),
        (
            "baseline",
            CAMPAIGN.replace("\"muffle\"", &toml(HOSTILE[17])),
        ),
        (
            "formula",
            CAMPAIGN.replacen("\"CuO\"", &toml(HOSTILE[17]), 1),
        ),
        ("never", format!("{CAMPAIGN}{never}")),
        ("no TOML", format!("{CAMPAIGN}\u{1b}[31m = = \u{202e}\n")),
        (
            "logs",
            CAMPAIGN.replace("\"runs.csv\"", &format!("[{texts}]")),
        ),
        (
            "title",
            CAMPAIGN.replace(
                "\"Copper oxide purified from scale\"",
                &toml(&HOSTILE.concat()),
            ),
        ),
    ] {
        assert_ne!(text, CAMPAIGN, "{what}");
        check_told(what, &[whole("campaign.toml", text)], &[]);
    }
}

#[test]
fn arguments_are_told_as_they_are() {
    let place = CampaignFolder::new();
    let campaign = place.path().join("scale");
    write_campaign(&campaign, &[]);
    for text in HOSTILE {
        for name in ["fit", "drift", "next", "report"] {
            let outcome = call(
                name,
                &campaign,
                place.path(),
                &["--quiet", "--response", text],
            );
            check_inert(text, &outcome);
        }
        let option = format!("--{text}");
        for arguments in [
            &["check", text][..],
            &["yields", "x", option.as_str()],
            &[text],
            &["rounds", text],
            &["rounds", "x", "--log", text],
        ] {
            check_steers_nothing(text, &residuum(arguments));
        }
    }
}

#[test]
fn a_plan_for_the_log_steers_nothing() {
    let place = CampaignFolder::new();
    let campaign = place.path().join("scale");
    write_campaign(
        &campaign,
        &[change("runs.csv", "run,date", "run,\"date\u{1b}[31m\"")],
    );
    check_inert(
        "next --csv",
        &call("next", &campaign, place.path(), &["--csv"]),
    );
}

#[cfg(unix)]
#[test]
fn folders_of_a_round_and_their_faults_are_told_as_they_are() {
    let place = CampaignFolder::new();
    let all = place.path().join("all");
    for (number, text) in HOSTILE.iter().enumerate() {
        let name = text.replace(['/', '.'], "_");
        let edits = match number % 2 {
            0 => Vec::new(),
            _ => vec![change("runs.csv", "R3,", "R2,")],
        };
        write_campaign(&all.join(name), &edits);
    }
    let out = place.path().join("out");
    for options in [&[][..], &["--json"], &["--log", "json"]] {
        let outcome = call("rounds", &all, &out, options);
        assert_eq!(outcome.exit_code, 2, "{}", outcome.stderr);
        check_inert(&format!("rounds {options:?}"), &outcome);
    }
    for (path, bytes) in files_below(&out) {
        let text = String::from_utf8(bytes).expect("each file is UTF-8");
        assert_eq!(
            text.chars().find(|c| steers(*c)),
            None,
            "{}",
            path.display()
        );
    }
    let nowhere = place.path().join("no\u{1b}[31m\u{202e}where");
    check_inert(
        "nowhere",
        &residuum(&[OsStr::new("rounds"), nowhere.as_os_str()]),
    );
}
