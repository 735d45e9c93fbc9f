//! What would a liquor still give, boiled down and chilled?
//!
//! In: a fact of the trade, logged liquors, a hydrate. Out: tests of masses, of what they rest on and of how they may be wrong.
//! This module never asks for a solubility between two points of the table.

use super::{DIGITS, call, campaign, check_measured, expected, foreseen, joined, text};
use crate::support::{check_digits, list, number};

const DOWN: [&str; 4] = ["--boil-to", "100 mL", "--chill-to", "0"];
const FROM: [&str; 4] = ["--from", "300 mL", "--saturated-at", "0"];

fn options<'a>(parts: &[&[&'a str]]) -> Vec<&'a str> {
    parts.concat()
}

#[test]
fn three_hundred_millilitres_of_ice_cold_permanganate_liquor_give_5_6_grams() {
    // Common practice, no source: 2.83 g on 100 g of water at 0 degC, thus about 5.6 g from 300 mL brought to 100 mL.
    let found = foreseen(&campaign("permanganate"), &options(&[&DOWN, &FROM]));
    let crop = &found["crop"];
    let mass = number(&crop["mass"], "value");
    assert!((mass - 5.6).abs() < 0.05, "{mass} g");
    let expected = expected("stated_saturated");
    check_measured("crop", &crop["mass"], &expected, "mass");
    for key in ["holds", "read_hot"] {
        check_digits(key, number(crop, key), number(&expected, key), DIGITS);
    }
    check_digits(
        "keeps",
        number(&crop["keeps"], "value"),
        number(&expected, "keeps"),
        DIGITS,
    );
    assert_eq!(crop["upper_bound"], true);
    let rests_on = joined(&crop["rests_on"]);
    assert!(!rests_on.contains("measured here"), "{rests_on}");
    assert!(rests_on.contains("from tables"), "{rests_on}");
    assert!(rests_on.contains("CRC Handbook"), "{rests_on}");
}

#[test]
fn other_units_mean_the_same() {
    let folder = campaign("permanganate");
    let plain = text(&folder, &options(&[&DOWN, &FROM]));
    let other = [
        "--boil-to",
        "0.1 L",
        "--chill-to",
        "273.15 K",
        "--from",
        "0.3 l",
        "--saturated-at",
        "0 °C",
    ];
    assert_eq!(text(&folder, &other), plain);
}

#[test]
fn a_warm_liquor_gives_a_crop_by_chilling_alone() {
    let options = [
        "--chill-to",
        "0",
        "--from",
        "300 mL",
        "--saturated-at",
        "20",
    ];
    let found = foreseen(&campaign("permanganate"), &options);
    check_measured(
        "chilled",
        &found["crop"]["mass"],
        &expected("chilled_alone"),
        "mass",
    );
}

#[test]
fn a_stated_strength_is_no_upper_bound_and_never_gives_more_than_the_liquor_holds() {
    let from = ["--from", "300 mL", "--strength", "29 g/L"];
    let found = foreseen(&campaign("permanganate"), &options(&[&DOWN, &from]));
    let crop = &found["crop"];
    check_measured(
        "stated",
        &crop["mass"],
        &expected("stated_strength"),
        "mass",
    );
    assert_eq!(crop["upper_bound"], false);
    assert!(joined(&crop["doubts"]).contains("never more than the 8.7 g that the liquor holds"));
}

#[test]
fn without_a_liquor_those_of_the_log_are_boiled_down_one_by_one() {
    let found = foreseen(&campaign("permanganate"), &DOWN);
    let (crop, expected) = (&found["crop"], expected("logged"));
    check_measured("middle crop", &crop["mass"], &expected, "mass");
    check_digits(
        "holds",
        number(crop, "holds"),
        number(&expected, "holds"),
        DIGITS,
    );
    let runs = list(crop, "runs");
    assert_eq!(runs.len(), list(&expected, "runs").len());
    for (found, expected) in runs.iter().zip(list(&expected, "runs")) {
        assert_eq!(found["run"], expected["run"]);
        check_measured("crop of a run", &found["mass"], expected, "mass");
    }
    assert_eq!(joined(&crop["smaller"]), "b3");
    assert!(
        joined(&crop["rests_on"]).contains("measured here: volume and strength of each liquor")
    );
    assert_eq!(crop["upper_bound"], false);
}

#[test]
fn a_liquor_too_thin_to_crystallise_gives_nothing_and_says_when_it_would() {
    let from = [
        "--boil-to",
        "100 mL",
        "--chill-to",
        "0",
        "--from",
        "300 mL",
        "--strength",
        "9 g/L",
    ];
    let found = foreseen(&campaign("permanganate"), &from);
    let crop = &found["crop"];
    assert_eq!(number(&crop["mass"], "value"), 0.0);
    assert!(number(&crop["mass"], "u") > 0.0, "9 g/L may be enough");
    let sure = [
        "--chill-to",
        "20",
        "--from",
        "300 mL",
        "--strength",
        "9 g/L",
    ];
    let sure = foreseen(&campaign("permanganate"), &sure);
    assert_eq!(number(&sure["crop"]["mass"], "u"), 0.0);
    // 2.7 g, where each millilitre keeps what the calculation says of 100 mL.
    let begins = 2.7 / (number(&expected("stated_saturated"), "keeps") / 100.0);
    check_digits("begins", number(crop, "begins_at"), begins, DIGITS);
    assert!(
        text(&campaign("permanganate"), &from)
            .contains("Nothing comes: crystals begin at 96.53 mL")
    );
}

#[test]
fn a_hydrate_takes_its_water_along_and_the_volume_read_hot_is_told_apart() {
    let options = [
        "--boil-to",
        "150 mL",
        "--chill-to",
        "20",
        "--from",
        "500 mL",
        "--saturated-at",
        "20",
    ];
    let found = foreseen(&campaign("bluestone"), &options);
    let (crop, expected) = (&found["crop"], expected("hydrate"));
    check_measured("hydrate", &crop["mass"], &expected, "mass");
    check_digits(
        "read hot",
        number(crop, "read_hot"),
        number(&expected, "read_hot"),
        DIGITS,
    );
    let told = text(&campaign("bluestone"), &options);
    assert!(
        told.contains(
            "where it is read hot, before anything crystallises, less is left, and 123.8 g come"
        ),
        "{told}"
    );
    // The acid at hand has an ion in common with the product.
    assert!(told.contains("(H2SO4 is at hand and has one)"), "{told}");
}

#[test]
fn a_crop_beyond_a_declared_end_is_barred_and_strict_says_so() {
    let folder = campaign("permanganate");
    let options = [
        "--chill-to",
        "30",
        "--from",
        "300 mL",
        "--saturated-at",
        "40",
    ];
    let told = text(&folder, &options);
    assert!(told.contains("Barred: end temperature 30 degC lies beyond its declared end, 20 degC, in `campaign.toml` line 22"), "{told}");
    assert!(
        told.contains("- none, as long as the campaign file bars it."),
        "{told}"
    );
    let strict = [&options[..], &["--strict"]].concat();
    assert_eq!(call(&folder, &strict).exit_code, 1);
}
