//! Are all faults of all files told in one go, and is it said what is left when no run is?
//!
//! In: campaigns with several faults, runs set aside, campaigns without a usable run. Out: tests through `check` and
//! the calls that need results.
//! This module never repeats the message of a single fault in full.

use serde_json::{Value, json};

use super::bench::{CAMPAIGN, CROPS, Edit, RUNS, campaign, change, gone, whole, with_column};
use super::promises::{call, check_stops, fault, faults_of};
use crate::support::{CampaignFolder, check_digits, list, member, number, residuum_json};

/// Digits asked of products and ratios of a few logged numbers, where each step rounds once in binary64.
const DIGITS: f64 = 12.0;

fn places(faults: &Value, key: &str) -> Vec<(String, u64)> {
    list(faults, key)
        .iter()
        .map(|fault| {
            let file = fault["file"].as_str().unwrap_or_default().to_string();
            (file, fault["line"].as_u64().unwrap_or_default())
        })
        .collect()
}

#[test]
fn faults_of_several_logs_stop_in_one_go() {
    check_stops(
        &[
            change("runs.csv", "R3,2025-03-05", "R2,2025-03-05"),
            change("crops.csv", "mass", "mess"),
            whole("titrants.csv", ""),
        ],
        &[
            fault(
                "run `R2` stands in `runs.csv` line 3 and in `runs.csv` line 4, which differ in `date`: `2025-03-04` and `2025-03-05`, `lot`: `A` and `B`, `feed_mass`: `100` and `200`, and in 2 more columns",
                "if the later line corrects the other one, write `1` and `2` into a column `revision`; if it is another run, give it another name",
            )
            .in_file("runs.csv")
            .on_line(4)
            .in_column("run"),
            fault(
                "column `mass` is missing in `crops.csv`",
                "did you mean `mess`? own headings go under `[columns.crops]`: `mass = { heading = \"mess\" }`",
            )
            .in_file("crops.csv")
            .on_line(1)
            .in_column("mass"),
            fault(
                "`titrants.csv` is empty",
                "a log has one line of headings and one row for each entry",
            )
            .in_file("titrants.csv"),
        ],
    );
}

#[test]
fn a_missing_log_does_not_hide_the_faults_of_the_others() {
    let folder = campaign(&[gone("crops.csv"), change("runs.csv", "R3,", "R2,")]);
    assert_eq!(
        places(&faults_of(folder.path()), "stops"),
        [("campaign.toml".into(), 11), ("runs.csv".into(), 4)]
    );
}

#[test]
fn what_stops_the_work_does_not_hide_what_leaves_out_a_run() {
    let folder = campaign(&[
        change("runs.csv", "R3,", "R2,"),
        change("crops.csv", "R4,1,108", "R4,1,x"),
    ]);
    let faults = faults_of(folder.path());
    assert_eq!(places(&faults, "stops"), [("runs.csv".into(), 4)]);
    assert!(places(&faults, "left_out").contains(&("crops.csv".into(), 5)));
}

#[test]
fn what_leaves_out_runs_is_listed_over_all_logs() {
    let folder = campaign(&[
        change("runs.csv", "R3,2025-03-05,B,200", "R3,2025-03-05,B,x"),
        change("crops.csv", "R4,1,108", "R4,1,-108"),
        change("titres.csv", "R5,1,0.1600", "R5,1,0"),
        change("residues.csv", "R6,76", "R6,NaN"),
    ]);
    assert_eq!(
        places(&faults_of(folder.path()), "left_out"),
        [
            ("runs.csv".into(), 4),
            ("crops.csv".into(), 5),
            ("titres.csv".into(), 6),
            ("residues.csv".into(), 7),
        ]
    );
}

#[test]
fn a_run_set_aside_is_kept_and_listed_and_out_of_every_fit() {
    let folder = campaign(&[whole(
        "runs.csv",
        with_column(RUNS, "set_aside", "R3", "boiled over"),
    )]);
    let yields = residuum_json("yields", folder.path());
    assert_eq!(
        yields["left_out"],
        json!([{
            "file": "runs.csv", "line": 4, "run": "R3", "reason": "set aside: boiled over",
            "hint": null, "on_purpose": true,
        }])
    );
    let line = member(list(&yields, "yields"), "run", "R3").expect("the run is kept");
    assert_eq!(line["set_aside"], "boiled over");
    // 117 · 0.9943125 / 150.
    check_digits(
        "contained",
        number(&line["contained"], "value"),
        0.77556375,
        DIGITS,
    );
    assert_eq!(yields["campaign"]["left_out"], 1);
    assert_eq!(residuum_json("fit", folder.path())["models"][0]["runs"], 7);
}

#[test]
fn a_run_set_aside_is_no_fault() {
    let folder = campaign(&[whole(
        "runs.csv",
        with_column(RUNS, "set_aside", "R3", "boiled over"),
    )]);
    for name in ["check", "yields", "fit", "report"] {
        let place = CampaignFolder::new();
        let outcome = call(name, folder.path(), place.path(), &["--strict"]);
        assert_eq!(outcome.exit_code, 0, "{name}: {}", outcome.stderr);
    }
}

#[test]
fn a_run_set_aside_needs_no_charge_as_the_hint_promises() {
    let runs = with_column(RUNS, "set_aside", "R3", "the beaker broke")
        .replace("R3,2025-03-05,B,200", "R3,2025-03-05,B,");
    let folder = campaign(&[whole("runs.csv", runs)]);
    let checked = call("check", folder.path(), folder.path(), &[]);
    assert_eq!(checked.exit_code, 0, "{}", checked.stdout);
}

fn no_run_is_usable() -> [Edit; 1] {
    [whole(
        "campaign.toml",
        CAMPAIGN.replace("titrant = \"T1\"\n", ""),
    )]
}

#[test]
fn a_campaign_without_a_usable_run_says_so_and_why() {
    let faults = faults_of(campaign(&no_run_is_usable()).path());
    assert_eq!(list(&faults, "left_out").len(), 8, "{faults}");
    for stop in list(&faults, "stops") {
        let reason = stop["reason"].as_str().unwrap_or_default();
        assert!(
            !reason.contains("baseline"),
            "the baseline is not at fault: {reason}"
        );
    }
}

#[test]
fn a_campaign_without_a_usable_run_ends_without_a_report_or_with_a_whole_one() {
    let folder = campaign(&no_run_is_usable());
    let place = CampaignFolder::new();
    let out = place.path().join("reports");
    let outcome = call("report", folder.path(), &out, &[]);
    assert!([0, 2].contains(&outcome.exit_code), "{}", outcome.stderr);
    assert_eq!(out.exists(), outcome.exit_code == 0);
}

/// Crops in another order than the runs, so that only the dates or the log can give the run order.
fn order(runs: &str) -> Vec<String> {
    let mut rows: Vec<&str> = CROPS.lines().collect();
    rows[1..].reverse();
    let folder = campaign(&[
        whole("runs.csv", runs),
        whole("crops.csv", format!("{}\n", rows.join("\n"))),
    ]);
    let result = residuum_json("yields", folder.path());
    list(&result, "yields")
        .iter()
        .map(|line| line["run"].as_str().unwrap_or_default().to_string())
        .collect()
}

#[test]
fn runs_stand_by_date_and_then_by_name() {
    let runs = RUNS
        .replace("R1,2025-03-03", "R1,2025-03-31")
        .replace("R8,2025-03-12", "R8,2025-03-04");
    assert_eq!(
        order(&runs),
        ["R2", "R8", "R3", "R4", "R5", "R6", "R7", "R1"]
    );
}

#[test]
fn without_dates_runs_stand_as_in_the_log() {
    let mut rows: Vec<String> = RUNS
        .lines()
        .map(|row| {
            let mut cells: Vec<&str> = row.split(',').collect();
            cells.remove(1);
            cells.join(",")
        })
        .collect();
    rows[1..].reverse();
    assert_eq!(
        order(&format!("{}\n", rows.join("\n"))),
        ["R8", "R7", "R6", "R5", "R4", "R3", "R2", "R1"]
    );
}

#[test]
fn feed_of_two_lots_has_the_assay_of_their_shares() {
    let runs = with_column(RUNS, "lot_share", "R3", "0.6;0.4")
        .replace("R3,2025-03-05,B", "R3,2025-03-05,A;B");
    let result = residuum_json("yields", campaign(&[whole("runs.csv", runs)]).path());
    let line = member(list(&result, "yields"), "run", "R3").expect("the run is there");
    assert_eq!(line["lot"], "A;B");
    // 200 · (0.6 · 0.80 + 0.4 · 0.75) = 156 g; 117 / 156 = 0.75.
    check_digits(
        "theory",
        number(&line["theory_fresh"], "value"),
        156.0,
        DIGITS,
    );
    check_digits(
        "adjusted",
        number(&line["assay_adjusted"], "value"),
        0.75,
        DIGITS,
    );
    let sources: Vec<&Value> = list(line, "budget")
        .iter()
        .map(|entry| &entry["source"])
        .collect();
    assert!(sources.iter().any(|source| *source == "assay of lot A"));
    assert!(sources.iter().any(|source| *source == "assay of lot B"));
}
