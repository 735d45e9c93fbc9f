//! Does `residuum routes` compare recovery routes, and say what is missing where it cannot?
//!
//! In: the bluestone demo campaign, whose true effects are known, and copies of it from which something was taken away.
//! Out: tests of the printed answer.
//! This module never repeats what single functions promise.

use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::support::{CampaignFolder, list, member, number, residuum, residuum_json};

/// Chances are counted over draws, so that their sum is exact but for rounding.
const ROUNDING: f64 = 1e-9;

pub(crate) fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("data-demo")
        .join(name)
}

/// A copy of a demo campaign whose campaign file has texts replaced; each must be there.
pub(crate) fn edited(name: &str, edits: &[[&str; 2]]) -> CampaignFolder {
    let original = demo(name);
    let file = original.join("campaign.toml");
    let mut text = std::fs::read_to_string(file).expect("the demo has a campaign file");
    for [from, to] in edits {
        assert!(text.contains(from), "`{from}` is not in the campaign file");
        text = text.replace(from, to);
    }
    CampaignFolder::copy_of(&original).with("campaign.toml", &text)
}

fn routes(folder: &Path) -> Value {
    residuum_json("routes", folder)["routes"].take()
}

/// Whether something is said to be missing that holds this text.
pub(crate) fn misses(answer: &Value, text: &str) -> bool {
    list(answer, "missing").iter().any(|gap| {
        gap["missing"]
            .as_str()
            .is_some_and(|missing| missing.contains(text))
    })
}

fn level<'a>(routes: &'a Value, name: &str) -> &'a Value {
    member(list(routes, "levels"), "level", name).expect("a level of the route")
}

#[test]
fn chances_of_all_routes_and_of_none_add_up_to_one() {
    let routes = routes(&demo("bluestone"));
    for key in ["chance_best", "chance_best_without_spec"] {
        let sum: f64 = list(&routes, "levels")
            .iter()
            .map(|level| number(level, key))
            .sum();
        let none = match key {
            "chance_best" => number(&routes, "none_meets"),
            _ => 0.0,
        };
        assert!(
            (sum + none - 1.0).abs() < ROUNDING,
            "{key}: {sum} and {none}"
        );
    }
}

#[test]
fn the_routes_stand_in_the_order_of_the_truth() {
    // The simulator's true effects: boildown gives most and is the least pure, spirit is the purest.
    let truth = std::fs::read_to_string(demo("bluestone").join("truth.json")).expect("the truth");
    let truth: Value = serde_json::from_str(&truth).expect("JSON");
    let routes = routes(&demo("bluestone"));
    for response in ["yield", "purity"] {
        let mut by_truth = vec![("chill", 0.0)];
        for name in ["boildown", "spirit"] {
            by_truth.push((name, number(&truth[response], &format!("route: {name}"))));
        }
        by_truth.sort_by(|one, other| one.1.total_cmp(&other.1));
        let means: Vec<f64> = by_truth
            .iter()
            .map(|(name, _)| number(&level(&routes, name)[response], "value"))
            .collect();
        assert!(means.is_sorted(), "{response}: {by_truth:?} {means:?}");
    }
    assert_eq!(routes["best"], "spirit");
    let share = &level(&routes, "boildown")["later_crops"];
    assert_eq!(number(share, "with_later"), number(share, "runs"));
}

#[test]
fn the_plain_answer_begins_with_its_verdict() {
    let told = residuum(&[
        "routes",
        demo("bluestone").to_str().expect("UTF-8"),
        "--quiet",
    ]);
    assert_eq!(told.exit_code, 0);
    let first = told.stdout.lines().next().expect("a first line");
    assert!(
        first.contains("spirit") && first.contains("98.5 %"),
        "{first}"
    );
}

#[test]
fn without_a_specification_routes_are_compared_on_yield_alone() {
    let folder = edited("bluestone", &[["purity_spec = 0.985 ", "# "]]);
    let routes = routes(folder.path());
    assert!(misses(&routes, "no purity specification"));
    assert_eq!(routes["best"], "boildown");
    assert_eq!(routes["verdict"], "settled");
    assert_eq!(level(&routes, "chill")["chance_spec"], Value::Null);
}

#[test]
fn a_cost_without_prices_is_named_and_the_means_still_stand() {
    let text = std::fs::read_to_string(demo("bluestone").join("campaign.toml")).expect("a file");
    let start = text.find("[prices]").expect("prices");
    let end = text.find("[recycling]").expect("recycling");
    let prices = &text[start..end];
    let folder = edited(
        "bluestone",
        &[
            [prices, ""],
            ["maximise = \"yield\"", "minimise = \"cost\""],
        ],
    );
    let routes = routes(folder.path());
    assert!(misses(&routes, "`[prices]`"));
    assert_eq!(routes["best"], Value::Null);
    assert_eq!(routes["verdict"], "not settled");
    assert!(number(&level(&routes, "chill")["yield"], "value") > 0.5);
}

#[test]
fn with_prices_the_cheapest_route_has_the_least_cost_of_those_that_will_do() {
    let folder = edited(
        "bluestone",
        &[["maximise = \"yield\"", "minimise = \"cost\""]],
    );
    let routes = routes(folder.path());
    let best = routes["best"].as_str().expect("a route");
    let least = number(&level(&routes, best)["cost"], "value");
    for level in list(&routes, "levels") {
        if number(level, "chance_spec") >= 0.9 {
            assert!(number(&level["cost"], "value") >= least, "{level}");
        }
    }
}

#[test]
fn one_route_alone_has_its_own_figures_and_nothing_to_compare() {
    let folder = edited(
        "bluestone",
        &[
            ["never = [{ heating = \"torch\", route = \"spirit\" }]", ""],
            [
                "ceiling = { chill = 1.0, boildown = 1.0, spirit = 1.0 }",
                "",
            ],
        ],
    );
    let log = std::fs::read_to_string(folder.path().join("runs.csv")).expect("a runs log");
    let log = log
        .replace(",boildown,", ",chill,")
        .replace(",spirit,", ",chill,");
    let folder = folder.with("runs.csv", &log);
    let routes = routes(folder.path());
    assert!(misses(&routes, "only one route was run: chill"));
    assert_eq!(routes["verdict"], "not settled");
    assert!(number(level(&routes, "chill"), "chance_spec") > 0.0);
}

#[test]
fn without_a_route_factor_the_call_stops_and_says_what_to_declare() {
    let folder = edited("bluestone", &[["stands_for = \"route\"", ""]]);
    let told = residuum(&["routes", folder.path().to_str().expect("UTF-8")]);
    assert_eq!(told.exit_code, 2);
    assert!(told.stdout.is_empty());
    assert!(
        told.stderr.contains("stands_for = \"route\""),
        "{}",
        told.stderr
    );
}
