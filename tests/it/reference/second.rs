//! Are yield, balance and worth of a second element those of an independent calculation, and is its wrong use told?
//!
//! In: `tests/data/second.json`, worked out from the invented logs in `tests/data/second` by `tests/check-scripts/second.py` with
//! numpy, pandas and uncertainties. Out: tests of `residuum yields`, `recycle` and `report`, and of what is said of bad input.
//! This module never takes a figure from residuum.

use std::path::{Path, PathBuf};

use crate::support::{
    CampaignFolder, check_digits, data_json, list, member, number, residuum, residuum_json,
};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/second")
}

/// The campaign with another text in place of one in one of its files.
fn edited(file: &str, from: &str, to: &str) -> CampaignFolder {
    let text = std::fs::read_to_string(folder().join(file)).expect("a file of the campaign");
    assert_eq!(text.matches(from).count(), 1, "{from}");
    CampaignFolder::copy_of(&folder()).with(file, &text.replace(from, to))
}

fn told(folder: &CampaignFolder) -> String {
    let outcome = residuum(&["check".as_ref(), folder.path().as_os_str()]);
    outcome.stdout + &outcome.stderr
}

#[test]
fn yield_and_balance_are_independent_ones() {
    let expected = data_json("second.json");
    let found = residuum_json("yields", &folder());
    let nickel = &found["second"][0];
    assert_eq!(nickel["element"], "Ni");
    for run in list(&expected, "runs") {
        let name = run["run"].as_str().expect("a name");
        let own = member(list(nickel, "runs"), "run", name).expect("its yield");
        for key in ["theory", "product", "yield", "residue", "unaccounted"] {
            for part in ["value", "u"] {
                let what = format!("{name} {key} {part}");
                check_digits(
                    &what,
                    number(&own[key], part),
                    number(&run[key], part),
                    10.0,
                );
            }
        }
    }
}

#[test]
fn what_it_brings_is_part_of_the_gain_and_of_the_cost() {
    let expected = data_json("second.json");
    let found = residuum_json("recycle", &folder());
    let terms = &found["recycling"]["terms"];
    check_digits(
        "extra",
        number(terms, "second"),
        number(&expected, "extra"),
        8.0,
    );
    let report = residuum_json("report", &folder());
    let first = report["answers"][0]["headline"].as_str().expect("a text");
    assert!(first.contains("ield of Ni 5"), "{first}");
    let parts = list(&report["costs"]["campaign"], "parts");
    let sold = member(parts, "what", "second products sold").expect("what is sold");
    check_digits(
        "brought",
        -number(&sold["cost"], "value"),
        number(&expected, "brought"),
        10.0,
    );
}

#[test]
fn ways_to_charge_count_it_as_cycles_do() {
    let found = residuum_json("recycle", &folder());
    let recycling = &found["recycling"];
    // Charging in every run is the loop of cycles: the gain of each, whose second product the independent one above checks.
    let every = &list(recycling, "policies")[0];
    assert_eq!(every["every"], 1);
    let cycles = list(recycling, "cycles");
    let charges = list(every, "cycles");
    assert_eq!(cycles.len(), charges.len());
    for (cycle, charge) in cycles.iter().zip(charges) {
        let gain = number(cycle, "gain");
        check_digits("gain", number(charge, "gain"), gain, 12.0);
    }
}

#[test]
fn the_yield_can_be_a_response() {
    let file = "campaign.toml";
    let with = edited(
        file,
        "responses = [\"yield\"]",
        "responses = [\"Ni_yield\"]",
    );
    let found = residuum_json("fit", with.path());
    assert_eq!(found["models"][0]["response"], "Ni_yield");
    assert_eq!(number(&found["models"][0], "runs"), 16.0);
}

#[test]
fn wrong_tables_are_told() {
    let cases = [
        (
            "product = \"NiSO4·6H2O\"",
            "product = \"FeSO4·7H2O\"",
            "`second.Ni.product` holds no Ni: `FeSO4·7H2O`",
        ),
        (
            "[second.Ni]",
            "[second.Cu]",
            "`second.Cu` is the element that `[campaign]` follows already",
        ),
        (
            "[second.Ni]",
            "[second.nickel]",
            "`second.nickel.product` holds no nickel",
        ),
        (
            "assay = \"Ni_assay\"",
            "asay = \"Ni_assay\"",
            "did you mean `assay`?",
        ),
        (
            "assay = \"Ni_assay\"",
            "assay = \"assay\"",
            "give the second a column of its own",
        ),
        (
            "assay = \"Ni_assay\"",
            "assay = \"nickel\"",
            "column `nickel` is missing in `lots.csv`, which `[second.Ni]` asks for",
        ),
        (
            "price = \"22 /kg\"",
            "price = \"22 /h\"",
            "it is counted per kg",
        ),
        ("price = \"22 /kg\"", "price = \"22 USD/kg\"", "USD"),
        ("price = \"22 /kg\"", "price = 22", "second.Ni.price"),
        (
            "product = \"NiSO4·6H2O\"\n",
            "",
            "`second.Ni.product` is missing",
        ),
    ];
    for (from, to, expected) in cases {
        let said = told(&edited("campaign.toml", from, to));
        assert!(said.contains(expected), "{from} -> {to}: {said}");
        let places = ["`campaign.toml` line", "`lots.csv`"];
        assert!(places.iter().any(|place| said.contains(place)), "{said}");
    }
}

#[test]
fn wrong_cells_are_told_and_used_by_nothing() {
    let mistyped = told(&edited("runs.csv", ",62.9,96.8 %", ",62.9 g wet,96.8 %"));
    assert!(
        mistyped.contains("`Ni_mass` in `runs.csv` line 3"),
        "{mistyped}"
    );
    let percent = told(&edited("residues.csv", "S02,", "S02x,"));
    assert!(percent.contains("S02x"), "{percent}");
    // Ten times the product: more than theory allows.
    let tenfold = edited("runs.csv", ",62.9,96.8 %", ",629,96.8 %");
    let said = told(&tenfold);
    assert!(
        said.contains("more was logged than theory allows"),
        "{said}"
    );
    let found = residuum_json("yields", tenfold.path());
    let run = member(list(&found["second"][0], "runs"), "run", "S02").expect("the run");
    assert!(run["yield"].is_null(), "{run}");
    // Without the purity its yield is not known.
    let said = told(&edited("runs.csv", ",62.9,96.8 %", ",62.9,"));
    assert!(
        said.contains("the yield of Ni is not known in 1 of 16 runs"),
        "{said}"
    );
}

#[test]
fn a_log_without_its_mass_stops_with_the_near_name() {
    let text = std::fs::read_to_string(folder().join("runs.csv")).expect("the runs");
    let runs = |heading: &str| {
        let text = text.replace("Ni_mass", heading);
        CampaignFolder::copy_of(&folder()).with("runs.csv", &text)
    };
    let said = told(&runs("Ni_mas"));
    assert!(
        said.contains("no column `Ni_mass` in the runs log for the second element `Ni`"),
        "{said}"
    );
    assert!(said.contains("did you mean `Ni_mas`?"), "{said}");
    // In kilograms all yields are beyond theory.
    let said = told(&runs("Ni_mass / kg"));
    assert!(
        said.contains("the yield of Ni is not known in 16 of 16 runs"),
        "{said}"
    );
}
