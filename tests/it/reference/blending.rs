//! Is what can be sold of the crops, together, one by one or blended, that of an independent calculation?
//!
//! In: `tests/data/blending.json`, worked out from the logs of the bluestone campaign by
//! `tests/check-scripts/blending.py` with uncertainties, scipy and its linear programs. Out: tests of `crops` in `result.json`.
//! This module never takes a figure from residuum.

use std::path::{Path, PathBuf};

use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::support::{CampaignFolder, check_digits, data_json, list, member, number, residuum};

/// Digits that must agree: the blend ends where a root is found.
const DIGITS: f64 = 8.0;

fn bluestone() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone")
}

fn independent() -> Value {
    data_json("blending.json")
}

/// `crops` of bluestone with these words of its campaign file changed.
fn crops(changes: &[(&str, &str)]) -> Value {
    let folder = CampaignFolder::copy_of(&bluestone());
    let path = folder.path().join("campaign.toml");
    let mut text = std::fs::read_to_string(&path).expect("the campaign file");
    for (old, new) in changes {
        assert!(text.contains(old), "`{old}`");
        text = text.replacen(old, new, 1);
    }
    std::fs::write(&path, text).expect("it can be written");
    let result = residuum(&[
        "routes".as_ref(),
        folder.path().as_os_str(),
        "--json".as_ref(),
    ]);
    assert!(result.exit_code <= 1, "{}", result.stderr);
    result.json()["crops"].take()
}

fn check_ways(crops: &Value, key: &str, expected: &Value) {
    for way in list(crops, "ways") {
        let name = way["sold"].as_str().expect("how");
        let found = match way[key].is_object() {
            true => number(&way[key], "value"),
            false => panic!("no {key} of {name}: {crops}"),
        };
        check_digits(name, found, number(expected, name), DIGITS);
    }
    assert_eq!(list(crops, "ways").len(), 3);
}

#[test]
fn the_independent_blend_was_worked_out_from_the_logs_as_they_are_now() {
    let independent = independent();
    for (name, expected) in independent["sha256"].as_object().expect("digests by file") {
        let bytes = std::fs::read(bluestone().join(name)).expect("a file of the demo campaign");
        let digest = Sha256::digest(&bytes);
        let digest: String = digest.iter().map(|byte| format!("{byte:02x}")).collect();
        let again = "run `python tests/check-scripts/blending.py` again";
        assert_eq!(expected, &digest, "`{name}` has changed: {again}");
    }
}

#[test]
fn each_crop_of_each_route_and_what_is_sold_in_each_way_agree() {
    let expected = independent()["expected"].take();
    let found = crops(&[]);
    assert_eq!(found["runs"], expected["runs"]);
    check_ways(&found, "on_spec", &expected["ways"]);
    let each = list(&found, "each");
    assert_eq!(each.len(), list(&expected, "each").len());
    for crop in list(&expected, "each") {
        let same = |of: &&Value| of["route"] == crop["route"] && of["crop"] == crop["crop"];
        let of = each.iter().find(same).expect("the same crop");
        assert_eq!((&of["runs"], &of["met"]), (&crop["runs"], &crop["met"]));
        let (mass, purity) = (&of["mass"], &of["purity"]);
        check_digits("mass", number(mass, "value"), number(crop, "mass"), DIGITS);
        check_digits(
            "purity",
            number(purity, "value"),
            number(crop, "purity"),
            DIGITS,
        );
        check_digits(
            "its u",
            number(purity, "u"),
            number(crop, "purity_u"),
            DIGITS,
        );
    }
    // Product off specification is sold like all other here, so no way is the best.
    assert!(found["best"].is_null());
}

#[test]
fn where_all_does_not_fit_the_blend_ends_where_the_independent_one_does() {
    let expected = independent()["expected"].take();
    let stricter = ("purity_spec = 0.985", "purity_spec = 0.9895");
    let even = ("purity_chance = 0.9 ", "purity_chance = 0.5 ");
    let found = crops(&[stricter]);
    check_ways(&found, "on_spec", &expected["ways_at_a_stricter_one"]);
    let found = crops(&[stricter, even]);
    check_ways(
        &found,
        "on_spec",
        &expected["ways_at_a_stricter_one_and_one_half"],
    );
    check_ways(&crops(&[even]), "on_spec", &expected["ways_at_one_half"]);
}

#[test]
fn worth_follows_what_product_off_specification_is_worth() {
    let expected = independent()["expected"].take();
    let off = [
        ("\"12 /kg\"", "worth_at_a_price"),
        ("{ cost = \"3 /kg\", loss = 0.04 }", "worth_reworked"),
        ("\"worthless\"", "worth_of_nothing"),
    ];
    for (off_spec, key) in off {
        let found = crops(&[("off_spec = \"sold\"", &format!("off_spec = {off_spec}"))]);
        check_ways(&found, "worth", &expected[key]);
        let best = &found["best"];
        assert_eq!(best["sold"], "blended");
        let ways = &expected[key];
        let gained = number(ways, "blended") - number(ways, "together");
        check_digits("gained", number(best, "gained"), gained, DIGITS);
        let blended = member(list(&found, "ways"), "sold", "blended").expect("a blend");
        assert!(number(&blended["worth"], "u") > 0.0);
    }
}
