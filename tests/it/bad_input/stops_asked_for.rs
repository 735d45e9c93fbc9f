//! What does the campaign file ask for that no log, no run and no folder has, and is that said?
//!
//! In: campaign files that are sound by themselves. Out: tests of the whole message with the line that asks.
//! This module never spoils the campaign file itself.

use super::bench::{CROPS, Edit, campaign, change, gone};
use super::promises::{CALLS_WITH_A_MODEL, call, check_stops, check_stops_calls, fault, faults_of};
use crate::support::CampaignFolder;

const FILE: &str = "campaign.toml";

fn edit(from: &'static str, to: &str) -> [Edit; 1] {
    [change(FILE, from, to)]
}

#[test]
fn a_baseline_that_no_run_has_stops_with_the_levels_of_the_log() {
    check_stops(
        &edit("baseline = \"muffle\"", "baseline = \"mufle\""),
        &[fault(
            "the baseline of `heating` in `campaign.toml` line 16 is a level that no run has: `mufle`",
            "did you mean `muffle`?",
        )
        .in_file(FILE)
        .on_line(16)
        .in_column("heating")],
    );
    check_stops(
        &edit("baseline = \"muffle\"", "baseline = \"torch\""),
        &[fault(
            "the baseline of `heating` in `campaign.toml` line 16 is a level that no run has: `torch`",
            "levels in the log: hob, muffle",
        )
        .in_file(FILE)
        .on_line(16)
        .in_column("heating")],
    );
}

#[test]
fn a_factor_without_a_column_stops_with_the_columns_there_are() {
    check_stops(
        &[
            change(FILE, "[factors.heating]", "[factors.heatin]"),
            change(FILE, "effects = [\"heating\"]", "effects = [\"heatin\"]"),
        ],
        &[fault(
            "no column `heatin` in the runs log for the factor `heatin` in `campaign.toml` line 16",
            "did you mean `heating`? another heading is given by `column = \"...\"`",
        )
        .in_file(FILE)
        .on_line(16)
        .in_column("heatin")],
    );
}

#[test]
fn a_heading_of_the_users_own_that_no_log_has_stops_with_its_line() {
    check_stops(
        &edit(
            "[factors.heating]",
            "[columns.runs]\nfeed_mass = { heading = \"Scale charged\", unit = \"kg\" }\n\n[factors.heating]",
        ),
        &[fault(
            "no heading `Scale charged` in the runs log, which `campaign.toml` line 17 asks for",
            "headings found: `run`, `date`, `lot`, `feed_mass`, `heating`, `bath`; the unit part of a heading may be left out",
        )
        .in_file(FILE)
        .on_line(17)
        .in_column("Scale charged")],
    );
}

#[test]
fn a_heading_for_a_log_that_the_campaign_does_not_name_stops_too() {
    let folder = campaign(&edit(
        "[factors.heating]",
        "[columns.readings]\ntime = \"Clock\"\n\n[factors.heating]",
    ));
    let stops = faults_of(folder.path())["stops"].clone();
    assert_eq!(stops.as_array().map(Vec::len), Some(1));
    assert_eq!(stops[0]["line"], 17);
    assert_eq!(stops[0]["column"], "Clock");
}

#[test]
fn a_log_that_is_not_there_stops_with_the_line_that_names_it() {
    check_stops(
        &[gone("crops.csv")],
        &[fault(
            "no file `crops.csv`, which `campaign.toml` line 11 names",
            "paths are relative to the campaign file; take the log out of `[logs]` if there is none",
        )
        .in_file(FILE)
        .on_line(11)],
    );
}

#[test]
fn a_folder_where_a_log_should_be_stops_with_its_name() {
    let folder = campaign(&edit("\"crops.csv\"", "\"weighed\""));
    let folder = folder.with("weighed/crops.csv", CROPS);
    let stops = faults_of(folder.path())["stops"].clone();
    assert_eq!(stops.as_array().map(Vec::len), Some(1));
    assert_eq!(stops[0]["reason"], "`weighed` is a folder, not a file");
    assert_eq!(
        stops[0]["hint"],
        "name the file, or all CSV files in the folder: `furnace/*.csv`"
    );
    assert_eq!(stops[0]["file"], "weighed");
}

#[test]
fn a_model_with_more_terms_than_runs_stops_what_needs_the_model() {
    // Constant, 1 of heating, 1 of lot and powers 1 to 6 of the bath: 9 terms for 8 runs.
    check_stops_calls(
        CALLS_WITH_A_MODEL,
        &[
            change(
                FILE,
                "[factors.heating]",
                "[factors.bath]\nkind = \"amount\"\n\n[factors.heating]",
            ),
            change(
                FILE,
                "effects = [\"heating\"]",
                "effects = [\"heating\", \"lot\", \"bath\"]\ncurved = { bath = 6 }",
            ),
        ],
        &[fault(
            "the model of `yield` has more terms than runs: 9 terms, 8 runs",
            "ask for fewer effects, joint effects or powers, or make more runs",
        )],
    );
}

#[test]
fn a_path_without_a_campaign_stops_every_call() {
    let empty = CampaignFolder::new();
    for name in ["check", "yields", "fit", "report"] {
        let outcome = call(name, empty.path(), &empty.path().join("out"), &[]);
        assert_eq!(outcome.exit_code, 2, "{name}");
        assert_eq!(outcome.stdout, "");
        assert_eq!(
            outcome.stderr,
            format!(
                "error: no `campaign.toml` in `{}`\n\nhint: name a folder that holds a `campaign.toml`, or the file itself; `residuum start DIR` writes one\n",
                empty.path().display()
            )
        );
    }
}
