//! Is the first candidate cause the change in the log nearest to where a departure began?
//!
//! In: an invented campaign that steps at one run, and what changes there. Out: tests of the causes that are named.
//! This module never asks whether a candidate is the cause: nobody knows that from a log.

use serde_json::Value;

use crate::support::{CampaignFolder, list, member, residuum_json};

const HEAD: &str = r#"[campaign]
title = "What changed?"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"

[logs]
runs = "runs.csv"
titres = "titres.csv"
titrants = "titrants.csv"

[titration]
analyte = "CuSO4·5H2O"
ratio = 1.0

[factors.heating]
kind = "choice"

[drift]
response = "yield"
baseline = 12
"#;

/// Twenty runs, one a day; from the thirteenth on a third less comes out.
struct Log {
    lot: fn(usize) -> &'static str,
    heating: fn(usize) -> &'static str,
    titrant: fn(usize) -> &'static str,
    model: &'static str,
    titrants: &'static str,
}

const TITRANTS: &str = "titrant,date,concentration\nT1,2026-02-20,0.1\nT2,2026-02-20,0.1\n";

const NOTHING_CHANGES: Log = Log {
    lot: |_| "A",
    heating: |_| "hob",
    titrant: |_| "T1",
    model: "",
    titrants: TITRANTS,
};

fn drift(log: &Log) -> Value {
    let mut runs = "run,date,lot,feed_mass,feed_assay,crop1_mass,heating\n".to_string();
    let mut titres = "run,crop,sample_mass,titrant,titre\n".to_string();
    for run in 1..=20_usize {
        let wave = [0.0, 2.0, -1.0, 1.0, -2.0][run % 5];
        let crop = if run < 13 { 200.0 } else { 140.0 } + wave;
        let (lot, heating, titrant) = ((log.lot)(run), (log.heating)(run), (log.titrant)(run));
        runs += &format!("R{run:02},2026-03-{run:02},{lot},100,0.9,{crop},{heating}\n");
        titres += &format!("R{run:02},1,1.0,{titrant},40.0\n");
    }
    let folder = CampaignFolder::new()
        .with("campaign.toml", &format!("{HEAD}{}\n", log.model))
        .with("runs.csv", &runs)
        .with("titres.csv", &titres)
        .with("titrants.csv", log.titrants);
    residuum_json("drift", folder.path())
}

/// Checks onset and cause of the first signal of the cumulative sums of yield.
fn check(log: &Log, cause: Option<&str>) {
    let result = drift(log);
    let charts = list(&result, "drift").iter();
    let mut of_yield = charts.filter(|chart| chart["response"] == "yield");
    let sums = of_yield
        .find(|chart| chart["chart"] == "cusum")
        .expect("cumulative sums");
    let signal = &list(sums, "signals")[0];
    assert_eq!(signal["onset"], "R13");
    assert_eq!(signal["side"], "below");
    assert_eq!(signal["candidate_cause"].as_str(), cause);
}

#[test]
fn where_nothing_changes_no_cause_is_named() {
    check(&NOTHING_CHANGES, None);
}

#[test]
fn a_new_lot_is_named() {
    let log = Log {
        lot: |run| if run < 13 { "A" } else { "B" },
        titrant: |run| if run < 13 { "T1" } else { "T2" },
        ..NOTHING_CHANGES
    };
    check(&log, Some("lot B after lot A from run R13"));
}

#[test]
fn a_new_titrant_is_named() {
    let log = Log {
        titrant: |run| if run < 12 { "T1" } else { "T2" },
        ..NOTHING_CHANGES
    };
    let cause = "titrant T2 from run R12 (1 run before the estimated onset)";
    check(&log, Some(cause));
}

#[test]
fn a_titrant_standardised_anew_is_named() {
    let log = Log {
        titrants: "titrant,date,concentration\nT1,2026-02-20,0.1\nT1,2026-03-13,0.1002\nT2,2026-03-13,0.1\n",
        ..NOTHING_CHANGES
    };
    let cause = "titrant T1 standardised on 2026-03-13, before run R13";
    check(&log, Some(cause));
}

#[test]
fn another_level_of_a_choice_is_named() {
    let log = Log {
        heating: |run| if run < 13 { "hob" } else { "torch" },
        ..NOTHING_CHANGES
    };
    check(&log, Some("heating torch after hob at run R13"));
}

#[test]
fn a_tired_titrant_is_flagged_in_a_chart_of_its_own() {
    let mut titrants = "titrant,date,concentration\n".to_string();
    for day in 1..=20 {
        let wave = [0.00002, -0.00002, 0.00001, -0.00001, 0.0][day % 5];
        let strength = if day < 15 { 0.1 } else { 0.0997 } + wave;
        titrants += &format!("T1,2026-03-{day:02},{strength:.5}\n");
    }
    let titrants: &'static str = titrants.leak();
    let result = drift(&Log {
        titrants,
        ..NOTHING_CHANGES
    });
    let charts = list(&result, "drift");
    let of_titrant: Vec<&Value> = charts
        .iter()
        .filter(|chart| chart["titrant"] == "T1")
        .collect();
    let kinds: Vec<&str> = of_titrant
        .iter()
        .filter_map(|c| c["chart"].as_str())
        .collect();
    assert_eq!(kinds, ["individuals", "ewma"]);
    let signals = list(of_titrant[1], "signals");
    let last = signals.last().expect("a flag");
    assert_eq!(
        (&last["side"], &last["last_run"]),
        (&"below".into(), &"2026-03-20".into())
    );
    assert_eq!(member(charts, "titrant", "T2"), None);
}
