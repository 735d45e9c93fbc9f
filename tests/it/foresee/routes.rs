//! What does a route allow, need and give that nobody ran?
//!
//! In: facts of the trade, equations, the runs of other routes. Out: tests of ceilings, masses, gases, limits and cautions.
//! This module never balances an equation.

use std::path::Path;

use serde_json::Value;

use super::{DIGITS, campaign, check_measured, expected, foreseen, joined, text};
use crate::support::{CampaignFolder, check_digits, list, member, number};

fn route(folder: &Path, name: &str) -> Value {
    foreseen(folder, &["--route", name])["routes"][0].take()
}

fn check_substances(found: &Value, expected: &Value) {
    for side in ["needs", "gives"] {
        for substance in list(expected, side) {
            let name = substance["formula"].as_str().expect("a formula");
            let found = member(list(found, side), "formula", name).expect("it is there");
            let what = format!("{side} {name}");
            check_digits(
                &what,
                number(found, "mass"),
                number(substance, "mass"),
                DIGITS,
            );
            match substance["gas_volume"].as_f64() {
                Some(litres) => check_digits(&what, number(found, "gas_volume"), litres, DIGITS),
                None => assert!(found["gas_volume"].is_null(), "{what}"),
            }
        }
    }
}

#[test]
fn acid_or_carbon_dioxide_spends_a_third_of_the_manganate_and_an_oxidant_none() {
    // Common practice, no source: three manganate give two permanganate and one dioxide.
    let folder = campaign("permanganate");
    let [acid, oxidant] =
        ["carbonic", "chlorine"].map(|name| number(&route(&folder, name), "ceiling"));
    check_digits("ratio of the ceilings", acid / oxidant, 2.0 / 3.0, 15.0);
    assert_eq!(oxidant, 1.0);
}

#[test]
fn masses_are_those_of_the_middle_charge_with_by_products_and_gases() {
    let folder = campaign("permanganate");
    for name in ["carbonic", "chlorine"] {
        let (found, expected) = (route(&folder, name), expected(name));
        let theory = number(&super::expected("theory_of"), "grams");
        check_digits("theory", number(&found, "theory"), theory, DIGITS);
        check_substances(&found, &expected);
        check_measured("yield", &found["yield"], &expected, "yield");
        let key = "upper_bound";
        check_digits(key, number(&found, key), number(&expected, key), DIGITS);
        assert!(joined(&found["rests_on"]).contains("measured here, on other routes"));
    }
}

#[test]
fn what_the_last_liquor_keeps_comes_off() {
    let found = route(&campaign("permanganate"), "carbonic");
    let expected = expected("carbonic");
    let keeps = &found["keeps"];
    check_digits(
        "keeps",
        number(&keeps["mass"], "value"),
        number(&expected, "keeps"),
        DIGITS,
    );
    check_digits(
        "of theory",
        number(keeps, "of_theory"),
        number(&expected, "keeps_of_theory"),
        DIGITS,
    );
    assert!(
        joined(&found["doubts"])
            .contains("a common ion, as KOH has, keeps less of the product there")
    );
    assert_eq!(number(&found, "time"), 90.0);
}

#[test]
fn a_reagent_that_falls_short_lowers_the_bound_and_is_named() {
    let found = route(&campaign("permanganate"), "chlorine");
    assert_eq!(found["short"], "Cl2");
    let chlorine = member(list(&found, "needs"), "formula", "Cl2").expect("chlorine");
    let part = 12.0 / number(chlorine, "mass");
    check_digits("bound", number(&found, "upper_bound"), part, DIGITS);
    // What the equation does not know is listed as it is charged.
    let lye = member(list(&found, "needs"), "formula", "KOH").expect("lye");
    assert_eq!(number(lye, "mass"), 100.0);
}

#[test]
fn limits_bar_a_route_alone_and_together_with_how_it_ends() {
    let told = text(&campaign("permanganate"), &[]);
    for bar in [
        "Barred: `campaign.toml` line 54 says that this route is never to be run.",
        "Barred: end temperature 30 degC lies beyond its declared end, 20 degC",
    ] {
        assert!(told.contains(bar), "{bar}\n{told}");
    }
    let anode = route(&campaign("permanganate"), "anode");
    assert_eq!(list(&anode, "barred").len(), 2, "{anode}");
    assert_eq!(
        joined(&anode["tests"]),
        "none, as long as the campaign file bars it"
    );
    let carbonic = route(&campaign("permanganate"), "carbonic");
    assert!(list(&carbonic, "barred").is_empty());
    assert!(joined(&carbonic["tests"]).contains("name it under `levels` of `[factors.route]`"));
}

#[test]
fn gases_and_oxidants_come_with_their_cautions() {
    let told = text(&campaign("permanganate"), &["--route", "chlorine"]);
    for caution in [
        "Cl2 may go in as gas: never under pressure in gear that is not made for it",
        "- Cl2: chokes and burns lungs in traces",
        "- KMnO4 with H2SO4: solid permanganate and concentrated sulfuric acid form an oil that explodes",
        "local codes, safety data sheets and licensed practice come first",
    ] {
        assert!(told.contains(caution), "{caution}\n{told}");
    }
    assert!(!told.contains("- H2O:"), "{told}");
}

#[test]
fn a_hydrate_takes_its_water_in_and_a_route_in_a_log_without_routes_goes_by_all_runs() {
    let found = route(&campaign("bluestone"), "acid");
    check_substances(&found, &expected("acid"));
    assert_eq!(number(&found, "ceiling"), 1.0);
    assert!(joined(&found["rests_on"]).contains("measured here, whatever the route"));
}

/// Iodine in lye, without any run that tells a charge.
const LYE: &str = "[campaign]\ntitle = \"Iodate\"\nproduct = \"KIO3\"\nfollowed = \"I\"\nassay_as = \"I2\"\n\n[logs]\nruns = \"runs.csv\"\n\n[routes.lye]\nequation = \"3 I2 + 6 KOH -> KIO3 + 5 KI + 3 H2O\"\nend_volume = \"100 mL\"\nend_temperature = \"0 degC\"\n";

#[test]
fn without_a_charge_masses_are_for_a_hundred_grams_and_an_unknown_solubility_is_told() {
    let folder = CampaignFolder::new()
        .with("campaign.toml", LYE)
        .with("runs.csv", "run,feed_mass,crop1_mass\n1,100,20\n2,100,21\n");
    let found = route(folder.path(), "lye");
    check_digits("ceiling", number(&found, "ceiling"), 1.0 / 6.0, 15.0);
    check_substances(&found, &expected("lye"));
    assert_eq!(found["charges"], 0);
    assert!(
        found["yield"].is_null() && found["keeps"].is_null(),
        "{found}"
    );
    let reason = found["keeps_reason"].as_str();
    assert_eq!(reason, Some("nothing is known of the solubility of `KIO3`"));
}

#[test]
fn the_schema_names_all_that_is_foreseen() {
    let schema = crate::support::residuum(&["schema", "result"]).json();
    let options = [
        "--boil-to",
        "100 mL",
        "--chill-to",
        "0",
        "--route",
        "carbonic",
        "--wash",
        "2",
        "--portion",
        "50 mL",
        "--holds",
        "10 mL",
        "--wash-at",
        "0",
    ];
    let found = foreseen(&campaign("permanganate"), &options);
    let of = &schema["properties"]["foresee"]["properties"];
    let check = |found: &Value, of: &Value| {
        let keys = found.as_object().expect("an object").keys();
        let unnamed: Vec<&String> = keys.filter(|key| of.get(key.as_str()).is_none()).collect();
        assert!(unnamed.is_empty(), "{unnamed:?}");
    };
    check(&found, of);
    check(&found["crop"], &of["crop"]["properties"]);
    check(&found["routes"][0], &of["routes"]["items"]["properties"]);
    check(&found["wash"], &of["wash"]["properties"]);
}
