//! Does `residuum yields` repeat what a preparative chemist works out on paper?
//!
//! In: facts of the trade on potassium permanganate from pyrolusite (common practice, no source), with the
//! atomic weights of 2021 where paper is too coarse. Out: tests through `residuum yields`.
//! This module never takes a molar mass from the library.

use serde_json::Value;

use crate::support::{
    CampaignFolder, check_digits, check_printed, list, member, number, residuum_json,
};

/// g/mol, from the abridged standard atomic weights of 2021: Mn 54.938043, K 39.0983, O 15.999.
const POTASSIUM_PERMANGANATE: f64 = 39.0983 + 54.938043 + 4.0 * 15.999;

/// g/mol, from the same atomic weights.
const MANGANESE_DIOXIDE: f64 = 54.938043 + 2.0 * 15.999;

/// Digits asked of products and ratios of a few logged numbers, where each step rounds once in binary64.
const DIGITS: f64 = 12.0;

/// 3 K₂MnO₄ + 2 CO₂ → 2 KMnO₄ + MnO₂ + 2 K₂CO₃ spends one third of the manganese.
const CEILING: f64 = 2.0 / 3.0;

const CAMPAIGN: &str = r#"
[campaign]
title    = "Permanganate from pyrolusite"
product  = "KMnO4"
followed = "Mn"
assay_as = "MnO2"

[logs]
runs = "runs.csv"

[factors.route]
kind = "choice"
ceiling = { disproportionation = 0.6666666666666666, electrolysis = 1.0 }
stands_for = "route"
"#;

/// Pure dioxide without a purity of the crop; 75 % ore; the same by the route that spends one third.
const RUNS: &str = "\
run,feed_mass,feed_assay,route,crop1_mass,purity
pure,43,1,electrolysis,30.7,
ore,43,0.75,electrolysis,30.7,0.98
third,43,0.75,disproportionation,30.7,0.98
";

fn yields() -> Vec<Value> {
    let folder = CampaignFolder::new()
        .with("campaign.toml", CAMPAIGN)
        .with("runs.csv", RUNS);
    let result = residuum_json("yields", folder.path());
    list(&result, "yields").to_vec()
}

fn value(run: &str, key: &str) -> f64 {
    let yields = yields();
    let line = member(&yields, "run", run).unwrap_or_else(|| panic!("no run `{run}`"));
    number(&line[key], "value")
}

#[test]
fn forty_three_grams_of_dioxide_give_at_most_78_2_grams_of_permanganate() {
    let theory = value("pure", "theory_fresh");
    check_printed("theory / g", theory, "78.2");
    let expected = 43.0 * POTASSIUM_PERMANGANATE / MANGANESE_DIOXIDE;
    check_digits("theory", theory, expected, DIGITS);
    check_digits(
        "total basis",
        value("pure", "theory_total"),
        expected,
        DIGITS,
    );
}

#[test]
fn three_quarters_of_the_assay_give_three_quarters_of_the_theory() {
    let expected = 0.75 * 43.0 * POTASSIUM_PERMANGANATE / MANGANESE_DIOXIDE;
    check_digits("theory", value("ore", "theory_fresh"), expected, DIGITS);
}

#[test]
fn thirty_point_seven_grams_are_a_gross_yield_of_39_percent_whatever_the_assay() {
    for run in ["pure", "ore", "third"] {
        check_printed("gross yield / %", 100.0 * value(run, "gross"), "39");
    }
}

#[test]
fn on_the_content_of_a_75_percent_ore_the_same_crop_is_52_percent() {
    check_printed(
        "adjusted yield / %",
        100.0 * value("ore", "assay_adjusted"),
        "52",
    );
    let expected = 30.7 / (0.75 * 43.0 * POTASSIUM_PERMANGANATE / MANGANESE_DIOXIDE);
    check_digits("adjusted", value("ore", "assay_adjusted"), expected, DIGITS);
}

#[test]
fn contained_yield_counts_only_the_pure_part_of_the_crop() {
    let expected = 0.98 * 30.7 / (0.75 * 43.0 * POTASSIUM_PERMANGANATE / MANGANESE_DIOXIDE);
    check_digits("contained", value("ore", "contained"), expected, DIGITS);
}

#[test]
fn a_route_that_spends_one_third_is_measured_against_two_thirds() {
    let contained = 0.98 * 30.7 / (0.75 * 43.0 * POTASSIUM_PERMANGANATE / MANGANESE_DIOXIDE);
    check_digits(
        "of two thirds",
        value("third", "of_ceiling"),
        contained / CEILING,
        DIGITS,
    );
    check_digits("of one", value("ore", "of_ceiling"), contained, DIGITS);
}

#[test]
fn without_a_purity_there_is_no_contained_yield_and_no_share_of_the_ceiling() {
    let yields = yields();
    let line = member(&yields, "run", "pure").expect("the run is listed");
    assert!(line["contained"].is_null(), "{line}");
    assert!(line["of_ceiling"].is_null(), "{line}");
    assert!(line["reason"].is_string(), "{line}");
}
