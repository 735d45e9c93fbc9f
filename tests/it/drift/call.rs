//! Does the call keep its contract?
//!
//! In: the demo campaigns and small invented ones. Out: tests of keys, texts, options and refusals.
//! This module never checks a figure.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::support::{CampaignFolder, Outcome, list, member, residuum, residuum_json};

const PLAIN: &str = "[campaign]\ntitle = \"Plain\"\n\n[logs]\nruns = \"runs.csv\"\n\n[responses.output]\ncolumn = \"output\"\nunit = \"g\"\n";

fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("data-demo")
        .join(name)
}

fn folder(drift: &str, outputs: &[f64]) -> CampaignFolder {
    let rows = outputs.iter().enumerate();
    let rows: String = rows
        .map(|(run, output)| format!("r{run:02},{output}\n"))
        .collect();
    CampaignFolder::new()
        .with("campaign.toml", &format!("{PLAIN}{drift}\n"))
        .with("runs.csv", &format!("run,output\n{rows}"))
}

fn call(folder: &CampaignFolder, options: &[&str]) -> Outcome {
    let mut arguments = vec![OsStr::new("drift"), folder.path().as_os_str()];
    arguments.extend(options.iter().map(OsStr::new));
    residuum(&arguments)
}

/// Ten runs that do not drift, then nine that are a little higher.
fn higher() -> Vec<f64> {
    let early = [50.0, 52.0, 49.0, 51.0, 50.5, 48.5, 51.5, 49.5, 50.2, 49.8];
    let late = [51.0, 51.2, 50.6, 51.4, 50.9, 51.1, 50.7, 51.3, 50.8];
    early.into_iter().chain(late).collect()
}

#[test]
fn the_object_has_the_promised_keys() {
    for name in ["bluestone", "iodate"] {
        let result = residuum_json("drift", &demo(name));
        for key in ["campaign", "drift", "caveats", "left_out"] {
            assert!(!result[key].is_null(), "{name} has no {key}");
        }
        for response in ["yield", "purity"] {
            let charts = list(&result, "drift").iter();
            let kinds: Vec<&str> = charts
                .filter(|chart| chart["response"] == response)
                .filter_map(|chart| chart["chart"].as_str())
                .collect();
            assert_eq!(
                kinds,
                ["individuals", "ewma", "cusum"],
                "{name}, {response}"
            );
        }
        for chart in list(&result, "drift") {
            for key in ["centre", "lower", "upper", "sd"] {
                assert!(chart[key].is_f64(), "{key} of {chart}");
            }
            for point in list(chart, "points") {
                assert!(
                    point["run"].is_string() && point["value"].is_f64(),
                    "{point}"
                );
                assert!(point["statistic"].is_f64(), "{point}");
                assert!(
                    point
                        .get("flag")
                        .is_some_and(|f| f.is_null() || f.is_string())
                );
            }
        }
    }
}

#[test]
fn the_kiln_of_bluestone_stays_in_its_charts() {
    let result = residuum_json("drift", &demo("bluestone"));
    let doubt = member(list(&result, "caveats"), "kind", "effect left in the chart");
    let seen = &doubt.expect("a doubt")["seen"];
    assert!(
        seen.as_str()
            .is_some_and(|seen| seen.contains("heating: kiln")),
        "{seen}"
    );
    for chart in list(&result, "drift") {
        let taken = chart["taken_out"].to_string();
        assert!(!taken.contains("kiln") && !taken.contains("lot"), "{taken}");
    }
}

#[test]
fn rules_are_off_unless_asked_for_and_their_rate_is_stated() {
    let stated = "[drift]\nresponse = \"output\"\ncentre = 50\nsd = 1.2\n";
    let flags = |drift: &str| {
        let result = residuum_json("drift", folder(drift, &higher()).path());
        let single = member(list(&result, "drift"), "chart", "individuals").cloned();
        single.expect("a chart of single values")
    };
    let silent = flags(stated);
    assert_eq!(list(&silent, "signals").len(), 0);
    let asked = flags(&format!("{stated}rules = [\"9 in a row on one side\"]\n"));
    assert_eq!(list(&asked, "points")[18]["flag"], "9 in a row on one side");
    let signal = &list(&asked, "signals")[0];
    assert_eq!(
        (&signal["onset"], &signal["first_run"]),
        (&"r10".into(), &"r18".into())
    );
    let rule = &list(&asked["settings"], "rules")[0];
    // Two sides of nine runs: 2/512.
    assert_eq!(rule["false_alarm_per_run"], 0.003_906_25);
}

#[test]
fn an_unknown_rule_is_refused_with_those_that_are_known() {
    let outcome = call(
        &folder("[drift]\nrules = [\"9 in a row on one sid\"]", &higher()),
        &[],
    );
    assert_eq!((outcome.exit_code, outcome.stdout.as_str()), (2, ""));
    assert!(
        outcome.stderr.contains("unknown rule"),
        "{}",
        outcome.stderr
    );
    assert!(
        outcome
            .stderr
            .contains("did you mean `9 in a row on one side`?")
    );
    let outcome = call(&folder("[drift]\nrules = [\"zigzag\"]", &higher()), &[]);
    assert!(
        outcome.stderr.contains("6 in a row rising or falling"),
        "{}",
        outcome.stderr
    );
}

#[test]
fn a_paragraph_says_where_it_stands_what_is_flagged_and_how_often_luck_would() {
    let mut outputs = higher();
    outputs.push(70.0);
    let outcome = call(&folder("[drift]\nbaseline = 10", &outputs), &[]);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
    let first = outcome.stdout.split("\n\n").next().expect("a paragraph");
    assert!(
        first.starts_with("output, single values\ncentre 50.2 g, SD "),
        "{first}"
    );
    assert!(
        first.contains("both estimated from the first 10 of 20 runs"),
        "{first}"
    );
    assert!(
        first.contains("flag: r19 above the upper limit; 19.8 g ("),
        "{first}"
    );
    assert!(
        first.contains("first candidate cause: none in the log"),
        "{first}"
    );
    assert!(
        first.contains("has a flag here with a chance of "),
        "{first}"
    );
}

#[test]
fn too_few_runs_or_runs_that_do_not_scatter_give_a_reason_and_no_chart() {
    for (outputs, reason) in [
        (vec![1.0, 2.0, 3.0], "there are 3"),
        (vec![5.0; 8], "do not scatter"),
    ] {
        let result = residuum_json("drift", folder("", &outputs).path());
        assert_eq!(list(&result, "drift").len(), 0);
        let doubt = member(list(&result, "caveats"), "kind", "not charted").expect("a doubt");
        assert!(doubt["seen"].to_string().contains(reason), "{doubt}");
        let text = call(&folder("", &outputs), &["--quiet"]).stdout;
        assert!(
            text.starts_with("output: not charted, ") && text.contains(reason),
            "{text}"
        );
        assert_eq!(call(&folder("", &outputs), &["--strict"]).exit_code, 1);
    }
}

#[test]
fn a_baseline_longer_than_the_log_is_a_doubt_where_it_is_asked_for() {
    let doubts = |drift: &str| {
        let result = residuum_json("drift", folder(drift, &higher()).path());
        member(
            list(&result, "caveats"),
            "kind",
            "fewer runs than the baseline",
        )
        .cloned()
    };
    assert_eq!(doubts(""), None);
    let asked = doubts("[drift]\nbaseline = 40").expect("a doubt");
    assert!(
        asked["seen"]
            .to_string()
            .contains("first 40 runs, but there are only 19")
    );
    assert_eq!(doubts("[drift]\nbaseline = 40\ncentre = 50\nsd = 1"), None);
}

#[test]
fn one_response_can_be_asked_for_and_an_unknown_one_is_refused() {
    let path = demo("bluestone");
    let arguments = |name: &'static str| {
        let options = ["--json", "--response", name].map(OsStr::new);
        let call = [OsStr::new("drift"), path.as_os_str()];
        residuum(&call.into_iter().chain(options).collect::<Vec<_>>())
    };
    let result: Value = arguments("purity").json();
    let names = list(&result, "drift")
        .iter()
        .filter_map(|chart| chart["response"].as_str());
    assert!(names.clone().count() == 3 && names.clone().all(|name| name == "purity"));
    let refused = arguments("colour");
    assert_eq!((refused.exit_code, refused.stdout.as_str()), (2, ""));
    assert!(
        refused.stderr.contains("unknown response `colour`"),
        "{}",
        refused.stderr
    );
    assert!(
        refused.stderr.contains("yield, purity"),
        "{}",
        refused.stderr
    );
}
