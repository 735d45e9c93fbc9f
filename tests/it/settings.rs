//! Does `residuum settings` stay inside what was declared, and say what stopped it?
//!
//! In: the bluestone demo campaign, whose true effects are known, and copies of it with other limits. Out: tests of the
//! printed answer.
//! This module never asks for an optimum that is not known from the truth of the simulator.

use std::path::Path;

use serde_json::Value;

use crate::routes::{demo, edited, misses};
use crate::support::{list, member, number, residuum, residuum_json};

fn settings(folder: &Path) -> Value {
    residuum_json("settings", folder)["settings"].take()
}

fn stop<'a>(settings: &'a Value, by: &str) -> Option<&'a Value> {
    member(list(settings, "stopped_by"), "by", by)
}

/// The margin of yield that the campaign declares not to matter.
const MARGIN: f64 = 0.02;

#[test]
fn the_settings_found_are_in_truth_no_more_than_the_margin_behind_the_best() {
    let text = std::fs::read_to_string(demo("bluestone").join("truth.json")).expect("the truth");
    let truth: Value = serde_json::from_str(&text).expect("JSON");
    let effects = &truth["yield"];
    let true_yield = |heating: &str, oxidant: f64, residue: f64| {
        let heating = match heating {
            "muffle" => 0.0,
            other => number(effects, &format!("heating: {other}")),
        };
        heating
            + number(effects, "oxidant_excess") * oxidant
            + number(effects, "oxidant_excess to the 2") * oxidant * oxidant
            + (number(effects, "residue_ratio")
                + number(effects, "route: spirit with residue_ratio"))
                * residue
    };
    let found = settings(&demo("bluestone"));
    let at = &found["at"];
    assert_eq!(at["route"], "spirit");
    let gives = true_yield(
        at["heating"].as_str().expect("a level"),
        number(at, "oxidant_excess"),
        number(at, "residue_ratio"),
    );
    let mut best = f64::NEG_INFINITY;
    for heating in ["muffle", "hob", "torch"] {
        for oxidant in 10..=120 {
            for residue in [0.0, 0.3, 0.6] {
                best = best.max(true_yield(heating, f64::from(oxidant), residue));
            }
        }
    }
    assert!(best - gives < MARGIN, "{} behind the best", best - gives);
    assert!(number(&found, "chance_spec") >= 0.9);
}

#[test]
fn a_declared_limit_is_kept_and_named() {
    let folder = edited("bluestone", &[["high = 120", "high = 60"]]);
    let found = settings(folder.path());
    assert_eq!(number(&found["at"], "oxidant_excess"), 60.0);
    let stops = list(&found, "stopped_by");
    let stop = member(stops, "factor", "oxidant_excess").expect("the limit is named");
    assert_eq!(stop["end"], "high");
    assert_eq!(stop["by"], "limit");
}

#[test]
fn a_forbidden_combination_is_not_proposed_and_what_it_costs_is_said() {
    let never = "never = [{ heating = \"torch\", route = \"spirit\" }]";
    let other = "never = [{ heating = \"muffle\", route = \"spirit\" }]";
    let folder = edited("bluestone", &[[never, other]]);
    let found = settings(folder.path());
    assert!(found["at"]["heating"] != "muffle" || found["at"]["route"] != "spirit");
    let stop = stop(&found, "never").expect("the combination is named");
    assert_eq!(stop["at"]["heating"], "muffle");
    assert!(number(stop, "costs") > 0.0);
    let present = &found["present_best"]["at"];
    assert!(present["heating"] != "muffle" || present["route"] != "spirit");
}

#[test]
fn without_limits_settings_stay_within_the_runs_made() {
    let folder = edited("bluestone", &[["low = 10 ", "# low "], ["high = 120", ""]]);
    let found = settings(folder.path());
    assert!(misses(&found, "no limits of oxidant_excess"));
    let oxidant = number(&found["at"], "oxidant_excess");
    assert!((10.0..=120.0).contains(&oxidant), "{oxidant}");
}

#[test]
fn limits_far_beyond_the_runs_do_not_lead_there() {
    // Residue raises nothing and oxidant has its top inside; with the aim turned round the search runs for the far end.
    let folder = edited(
        "bluestone",
        &[
            ["high = 120", "high = 1000"],
            ["maximise = \"yield\"", "minimise = \"yield\""],
            ["purity_spec = 0.985 ", "# "],
        ],
    );
    let found = settings(folder.path());
    let oxidant = number(&found["at"], "oxidant_excess");
    // The largest excess of any run is below 121 %; grid places beyond are less certain than every run.
    assert!(oxidant < 200.0, "{oxidant}");
    assert!(stop(&found, "far from the runs").is_some());
}

#[test]
fn an_unreachable_specification_is_said_and_the_nearest_settings_shown() {
    let folder = edited(
        "bluestone",
        &[["purity_spec = 0.985", "purity_spec = 0.9995"]],
    );
    let found = settings(folder.path());
    assert_eq!(found["meets_spec"], false);
    assert_eq!(found["verdict"], "not settled");
    assert!(number(&found, "chance_spec") < 0.9);
    let text = residuum(&[
        "settings",
        folder.path().to_str().expect("UTF-8"),
        "--quiet",
    ])
    .stdout;
    assert!(
        text.starts_with("No settings within the limits give"),
        "{text}"
    );
}

#[test]
fn a_specification_without_a_purity_is_named() {
    let folder = edited(
        "bluestone",
        &[
            ["titres = \"titres.csv\"", "#"],
            ["titrants = \"titrants.csv\"", "#"],
            [
                "responses = [\"yield\", \"purity\"]",
                "responses = [\"filter_time\"]",
            ],
            ["maximise = \"yield\"", "minimise = \"filter_time\""],
            ["response = \"yield\"", ""],
        ],
    );
    let found = settings(folder.path());
    assert!(misses(&found, "no model of purity"));
    assert_eq!(found["chance_spec"], Value::Null);
    assert!(found["at"].is_object());
}

#[test]
fn a_cost_without_prices_cannot_be_the_aim() {
    let text = std::fs::read_to_string(demo("iodate").join("campaign.toml")).expect("a file");
    let start = text.find("[prices]").expect("prices");
    let end = text.find("[aim]").expect("an aim");
    let folder = edited(
        "iodate",
        &[
            [&text[start..end], ""],
            ["maximise = \"yield\"", "minimise = \"cost\""],
        ],
    );
    let found = settings(folder.path());
    assert_eq!(found["at"], Value::Null);
    assert!(misses(&found, "`[prices]`"));
    let told = residuum(&[
        "settings",
        folder.path().to_str().expect("UTF-8"),
        "--quiet",
    ]);
    assert_eq!(told.exit_code, 0);
    assert!(told.stdout.contains("prices"), "{}", told.stdout);
}

#[test]
fn settings_that_a_run_had_are_called_that() {
    // The bath of run K05 stands at the declared upper limit, which the search runs into.
    let found = settings(&demo("iodate"));
    assert_eq!(found["present_best"]["same_settings"], true);
    assert_eq!(found["present_best"]["chance_better"], Value::Null);
    assert_eq!(found["verdict"], "alike");
}

#[test]
fn a_seed_gives_the_same_answer_again() {
    assert_eq!(settings(&demo("bluestone")), settings(&demo("bluestone")));
}
