//! Does the search for settings find the published optimum of a response surface?
//!
//! In: a central composite design with its published stationary point, and a first-order design with its published plane.
//! Out: tests through `residuum settings`, in coded and in natural units.
//! This module never takes an expected value from residuum.

use serde_json::Value;

use crate::reference::study::{Table, expected};
use crate::support::{
    CampaignFolder, check_digits, check_printed, list, member, number, residuum_json,
};

/// Digits asked of a solution of the normal equations and one of two unknowns after it, in binary64.
const DIGITS: f64 = 9.0;

/// The search ends with steps of a twentieth of a percent of the range; one such step to each side.
const LAST_STEP: f64 = 1e-3;

/// Settings found for the largest response of a table, each amount within limits.
fn settings(table: &Table, amounts: [&str; 2], limits: [[f64; 2]; 2], model: &str) -> Value {
    let mut text = String::from(
        "[campaign]\ntitle = \"A published surface\"\n\n[logs]\nruns = \"runs.csv\"\n\n\
         [responses.measured]\ncolumn = \"yield_pct\"\n\n\
         [aim]\nmaximise = \"measured\"\n\n",
    );
    for (name, [low, high]) in amounts.iter().zip(limits) {
        text += &format!("[factors.{name}]\nkind = \"amount\"\nlow = {low}\nhigh = {high}\n\n");
    }
    if model.contains("block") {
        text += "[factors.block]\nkind = \"choice\"\n\n";
    }
    text += &format!("[model]\nresponses = [\"measured\"]\nmethod = \"plain\"\n{model}\n");
    let folder = CampaignFolder::new()
        .with("campaign.toml", &text)
        .with("runs.csv", &table.runs_log());
    residuum_json("settings", folder.path())["settings"].take()
}

fn second_order([first, second]: [&str; 2]) -> String {
    format!(
        "effects = [\"{first}\", \"{second}\", \"block\"]\njoint = [[\"{first}\", \"{second}\"]]\n\
         curved = {{ {first} = 2, {second} = 2 }}"
    )
}

#[test]
fn a_central_composite_design_has_its_published_stationary_point() {
    let reference = expected("rsm_ccd_blocks");
    let table = Table::read("rsm_ccd_blocks");
    // The published coding of the printed natural values.
    let x1: Vec<f64> = table
        .numbers("time_min")
        .iter()
        .map(|t| (t - 85.0) / 5.0)
        .collect();
    let x2: Vec<f64> = table
        .numbers("temp_F")
        .iter()
        .map(|t| (t - 175.0) / 5.0)
        .collect();
    let names = ["x1", "x2"];
    let limits = [[-1.4, 1.4]; 2];
    let found = settings(
        &table.with("x1", x1).with("x2", x2),
        names,
        limits,
        &second_order(names),
    );
    let point = &found["stationary"];
    assert_eq!(point["kind"], "maximum");
    assert_eq!(point["within_runs"], true);
    let (published, computed) = (&reference["published"], &reference["computed"]);
    let bends = list(point, "eigenvalues");
    let figures = [
        ("x1s", number(&point["at"], "x1")),
        ("x2s", number(&point["at"], "x2")),
        // Published with the larger one first.
        ("lam2", bends[0].as_f64().expect("a number")),
        ("lam1", bends[1].as_f64().expect("a number")),
    ];
    for (key, value) in figures {
        check_printed(
            key,
            value,
            published[key].as_str().expect("a printed figure"),
        );
        check_digits(key, value, number(computed, key), DIGITS);
    }
    // In the better block, the first one, which the published constant is of.
    assert_eq!(point["at"]["block"], "B1");
    check_digits(
        "ys",
        number(&point["response"], "value"),
        number(computed, "ys"),
        DIGITS,
    );
}

#[test]
fn the_search_ends_at_the_published_optimum_in_natural_units() {
    let reference = expected("rsm_ccd_blocks");
    let names = ["time_min", "temp_F"];
    let limits = [[78.0, 92.0], [168.0, 182.0]];
    let table = Table::read("rsm_ccd_blocks");
    let found = settings(&table, names, limits, &second_order(names));
    let published = &reference["published"];
    for (name, key, [low, high]) in [
        ("time_min", "time_s", limits[0]),
        ("temp_F", "temp_s", limits[1]),
    ] {
        let printed = published[key].as_str().expect("a printed figure");
        check_printed(key, number(&found["stationary"]["at"], name), printed);
        let away = number(&found["at"], name) - number(&reference["computed"], key);
        assert!(
            away.abs() <= LAST_STEP * (high - low),
            "{name} is {away} from the optimum"
        );
    }
    assert_eq!(
        list(&found, "stopped_by").len(),
        0,
        "nothing stops at a top inside the region"
    );
}

#[test]
fn a_limit_below_the_published_optimum_stops_the_search_there() {
    let names = ["time_min", "temp_F"];
    let limits = [[78.0, 85.0], [168.0, 182.0]];
    let found = settings(
        &Table::read("rsm_ccd_blocks"),
        names,
        limits,
        &second_order(names),
    );
    assert_eq!(number(&found["at"], "time_min"), 85.0);
    let stop = member(list(&found, "stopped_by"), "factor", "time_min").expect("a limit");
    assert_eq!(stop["by"], "limit");
    assert_eq!(stop["end"], "high");
}

#[test]
fn a_plane_is_best_in_the_corner_that_its_published_slopes_point_to() {
    let computed = expected("rsm_first_order")["computed"].take();
    let table = Table::read("rsm_first_order");
    let names = ["x1", "x2"];
    let found = settings(
        &table,
        names,
        [[-1.0, 1.0]; 2],
        "effects = [\"x1\", \"x2\"]",
    );
    for name in names {
        assert_eq!(number(&found["at"], name), 1.0);
        let stop = member(list(&found, "stopped_by"), "factor", name).expect("a limit");
        assert_eq!(stop["end"], "high");
    }
    // The published plane at the corner: b0 + b1 + b2.
    let corner: f64 = ["b_Intercept", "b_x1", "b_x2"]
        .iter()
        .map(|key| number(&computed, key))
        .sum();
    // What the best of many owes to luck is taken off the value, and stands beside it.
    let response = &found["response"];
    let fitted = number(response, "value") + number(response, "too_good_by");
    check_digits("corner", fitted, corner, DIGITS);
    assert_eq!(found["stationary"]["at"], Value::Null);
    assert!(list(&found, "missing").iter().any(|gap| {
        gap["missing"]
            .as_str()
            .is_some_and(|text| text.contains("purity specification"))
    }));
}
