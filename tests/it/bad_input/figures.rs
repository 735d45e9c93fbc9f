//! What becomes of figures that no arithmetic survives?
//!
//! In: zeros under a fraction bar, figures near the ends of binary64, logs of thousands of runs. Out: tests that nothing
//! that is not a number is ever printed, and that a result that can't be had is null with its reason.
//! This module never asks for a particular message.

use std::path::Path;

use serde_json::Value;

use super::bench::{
    CROPS, Edit, LOTS, RESIDUES, RUNS, TITRES, campaign, change, whole, with_column,
};
use super::promises::call;
use crate::support::{CampaignFolder, check_finite, list};

/// What binary64 prints where arithmetic failed.
const NO_NUMBERS: [&str; 4] = ["NaN", "± inf", "± -", " inf times"];

/// Runs of the longest chain of residue that is tried, each fed with what the run before it left.
const CHAIN: usize = 100_000;

/// Every call ends by itself, prints no failed arithmetic, and gives each figure whole, or null with a reason.
fn check_figures(edits: &[Edit]) {
    let folder = campaign(edits);
    let place = CampaignFolder::new();
    let out = place.path().join("reports");
    for name in ["check", "yields", "fit", "report"] {
        let told = call(name, folder.path(), &out, &[]);
        assert!((0..=2).contains(&told.exit_code), "{name}: {}", told.stderr);
        for text in [&told.stdout, &told.stderr] {
            let failed = NO_NUMBERS.iter().find(|failed| text.contains(**failed));
            assert_eq!(failed, None, "{name}: {text}");
        }
        if told.exit_code == 2 {
            assert!(told.stderr.contains("\nhint: "), "{name}: {}", told.stderr);
        }
        let printed = call(name, folder.path(), &out, &["--json"]);
        if printed.exit_code == 2 {
            assert_eq!(printed.stdout, "", "{name}");
        } else {
            let result = serde_json::from_str(&printed.stdout).expect("one JSON object");
            check_whole(name, &result);
        }
    }
    let report = out
        .join(folder.path().file_name().expect("the folder has a name"))
        .join("report.md");
    if report.exists() {
        let text = std::fs::read_to_string(report).expect("the report is text");
        let failed = NO_NUMBERS.iter().find(|failed| text.contains(**failed));
        assert_eq!(failed, None, "{text}");
    }
}

/// A figure has both its value and its uncertainty, and a run without a figure has a reason.
fn check_whole(name: &str, result: &Value) {
    if name == "check" {
        return;
    }
    for line in result["yields"].as_array().into_iter().flatten() {
        for (key, figure) in line.as_object().expect("a run is an object") {
            let Some(parts) = figure.as_object().filter(|parts| parts.contains_key("u")) else {
                continue;
            };
            assert!(
                parts.values().all(Value::is_number),
                "{key} of {}: {figure}",
                line["run"]
            );
        }
        if line["contained"].is_null() {
            assert!(line["reason"].is_string(), "{line}");
        }
    }
}

#[test]
fn zeros_where_something_is_divided_by_them_give_no_failed_arithmetic() {
    check_figures(&[whole(
        "titres.csv",
        with_column(TITRES, "aliquot", "R3", "0"),
    )]);
    check_figures(&[whole(
        "titrants.csv",
        "titrant,standard,standard_mass,titre,blank\nT1,KIO3,0.1,20,20\n",
    )]);
    check_figures(&[whole(
        "titrants.csv",
        "titrant,standard,standard_mass,titre,aliquot\nT1,KIO3,0.1,20,0\n",
    )]);
    check_figures(&[whole(
        "runs.csv",
        with_column(RUNS, "feed_assay", "R3", "0"),
    )]);
    check_figures(&[change("crops.csv", "R3,1,117", "R3,1,0")]);
    check_figures(&[change("titres.csv", "R3,1,0.1600,20.00", "R3,1,0.1600,0")]);
}

#[test]
fn a_lot_of_assay_zero_is_not_compared_with_the_others() {
    let lots = format!("{LOTS}C,0.78,0.004\nD,0,0.004\n");
    check_figures(&[whole("lots.csv", lots)]);
}

#[test]
fn a_standard_of_purity_zero_is_no_titrant_without_a_word() {
    let folder = campaign(&[whole(
        "titrants.csv",
        "titrant,standard,standard_mass,standard_purity,titre\nT1,KIO3,0.1,0,20\n",
    )]);
    let outcome = call("check", folder.path(), folder.path(), &["--json"]);
    let result: Value = serde_json::from_str(&outcome.stdout).expect("check prints JSON");
    assert!(!list(&result, "left_out").is_empty(), "{result}");
}

#[test]
fn figures_near_the_ends_of_binary64_give_no_failed_arithmetic() {
    for charge in ["1e308", "1e200", "1e-200", "1e-308", "5e-324"] {
        check_figures(&[change(
            "runs.csv",
            "R3,2025-03-05,B,200",
            format!("R3,2025-03-05,B,{charge}"),
        )]);
        check_figures(&[change("crops.csv", "R3,1,117", format!("R3,1,{charge}"))]);
        check_figures(&[change(
            "titres.csv",
            "R3,1,0.1600",
            format!("R3,1,{charge}"),
        )]);
        check_figures(&[change("residues.csv", "R3,56,", format!("R3,{charge},"))]);
        check_figures(&[change("lots.csv", "0.75,0.004", format!("0.75,{charge}"))]);
    }
}

#[test]
fn yields_that_never_change_end_in_a_fit_or_in_a_reason() {
    let same = "run,crop,mass\nR1,1,60\nR2,1,60\nR3,1,112.5\nR4,1,112.5\nR5,1,60\nR6,1,112.5\nR7,1,60\nR8,1,112.5\n";
    check_figures(&[whole("crops.csv", same)]);
}

#[test]
fn one_run_alone_ends_in_a_fit_or_in_a_reason() {
    let first = |log: &str| {
        let rows: Vec<&str> = log.lines().take(2).collect();
        format!("{}\n", rows.join("\n"))
    };
    check_figures(&[
        whole("runs.csv", first(RUNS)),
        whole("crops.csv", first(CROPS)),
        whole("titres.csv", first(TITRES)),
        whole("residues.csv", first(RESIDUES)),
    ]);
}

/// Every call on a demo campaign with another file, all of whose files and texts are searched.
fn check_demo(file: &str, edited: fn(&str) -> String) {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone");
    let folder = CampaignFolder::copy_of(&demo);
    let text = std::fs::read_to_string(demo.join(file)).expect("the demo is text");
    let folder = folder.with(file, &edited(&text));
    for name in [
        "check", "yields", "fit", "routes", "recycle", "settings", "next", "drift", "report",
    ] {
        let told = call(name, folder.path(), &folder.path().join("out"), &[]);
        check_finite(name, &told.stdout);
        check_finite(name, &told.stderr);
        let printed = call(name, folder.path(), &folder.path().join("out"), &["--json"]);
        check_finite(name, &printed.stdout);
    }
}

/// A table with another text in one column of every row.
fn with_all(log: &str, column: usize, value: &str) -> String {
    let mut lines = log.lines();
    let mut text = format!("{}\n", lines.next().unwrap_or_default());
    for line in lines {
        let mut cells: Vec<&str> = line.split(',').collect();
        cells[column] = value;
        text.push_str(&format!("{}\n", cells.join(",")));
    }
    text
}

#[test]
fn residue_that_holds_nothing_gives_no_failed_arithmetic() {
    check_demo("residues.csv", |log| with_all(log, 2, "0"));
}

#[test]
fn an_assay_that_is_not_known_at_all_gives_no_failed_arithmetic() {
    check_demo("lots.csv", |log| with_all(log, 2, "1e5"));
    check_demo("lots.csv", |log| with_all(log, 2, "1e200"));
}

#[test]
fn a_region_without_end_gives_no_failed_arithmetic() {
    check_demo("campaign.toml", |text| {
        text.replace("high = 0.6", "high = 1e20")
    });
    check_demo("campaign.toml", |text| {
        text.replace("high = 120", "high = 1e200")
    });
}

#[test]
fn a_long_chain_of_residue_is_followed_to_its_end() {
    let mut runs = String::from(
        "run,feed_mass,feed_assay,residue_mass,residue_assay,residue_from,crop1_mass,purity\n",
    );
    for run in (1..=CHAIN).rev() {
        let from = if run == 1 {
            String::new()
        } else {
            format!("r{}", run - 1)
        };
        let charged = if run == 1 { 0 } else { 10 };
        runs.push_str(&format!("r{run},100,0.8,{charged},0.5,{from},60,0.99\n"));
    }
    let campaign = r#"[campaign]
title = "A chain"
product = "CuO"
followed = "Cu"
assay_as = "CuO"

[logs]
runs = "runs.csv"

[factors.residue_generation]
kind = "amount"
"#;
    let folder = CampaignFolder::new()
        .with("campaign.toml", campaign)
        .with("runs.csv", &runs);
    let outcome = call("yields", folder.path(), folder.path(), &["--quiet"]);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
    // A line for the headings, one a run, one that says what ± is.
    assert_eq!(outcome.stdout.lines().count(), CHAIN + 2);
}
