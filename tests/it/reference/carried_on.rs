//! Are mother liquor carried on, residue out of jars and its moisture at charging those of an independent calculation?
//!
//! In: `tests/data/carried_on.json`, worked out from the invented logs in `tests/data/carried_on` by
//! `tests/check-scripts/carried_on.py` with numpy, pandas and uncertainties. Out: tests of `residuum recycle` and `yields`, and of
//! what is said where such an entry cannot be.
//! This module never takes a figure from residuum.

use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::support::{
    CampaignFolder, check_digits, data_json, list, member, number, residuum, residuum_json,
};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/carried_on")
}

/// The campaign with another text in place of one in its runs log or its campaign file.
fn edited(file: &str, from: &str, to: &str) -> CampaignFolder {
    let text = std::fs::read_to_string(folder().join(file)).expect("a file of the campaign");
    assert_eq!(text.matches(from).count(), 1, "{from}");
    CampaignFolder::copy_of(&folder()).with(file, &text.replace(from, to))
}

fn check(folder: &CampaignFolder) -> String {
    let outcome = residuum(&["check".as_ref(), folder.path().as_os_str()]);
    outcome.stdout + &outcome.stderr
}

#[test]
fn theory_yield_and_balance_hold_what_was_carried_on() {
    let expected = data_json("carried_on.json");
    let found = residuum_json("yields", &folder());
    for run in list(&expected, "runs") {
        let name = run["run"].as_str().expect("a name");
        let found = member(list(&found, "yields"), "run", name).expect("its yields");
        for (key, own) in [
            ("theory", "theory_total"),
            ("yield", "contained"),
            ("closure", "closure"),
        ] {
            for part in ["value", "u"] {
                let what = format!("{name} {own} {part}");
                check_digits(
                    &what,
                    number(&found[own], part),
                    number(&run[key], part),
                    10.0,
                );
            }
        }
    }
}

#[test]
fn the_gain_of_liquor_carried_on_and_the_jars_are_independent_ones() {
    let expected = data_json("carried_on.json");
    let found = residuum_json("recycle", &folder());
    let liquor = &found["liquor"];
    check_digits(
        "ratio",
        number(liquor, "ratio"),
        number(&expected, "ratio"),
        12.0,
    );
    let extra = number(&liquor["extra_product"], "value");
    check_digits(
        "extra product",
        extra,
        number(&expected, "extra_product"),
        8.0,
    );
    for (way, key) in [
        ("product", "product"),
        ("feed", "feed"),
        ("runs", "saved_runs"),
    ] {
        let gain = number(&liquor["ways"][way]["gain_per_run"], "value");
        check_digits(way, gain, number(&expected, key), 8.0);
    }
    let taken = expected["taken"].as_object().expect("masses by run");
    assert!(taken.values().any(|mass| mass.as_f64() > Some(0.0)));
    for (run, mass) in taken {
        let line = member(list(&found, "ledger"), "run", run).expect("a line");
        let (found, expected) = (number(line, "taken"), mass.as_f64().expect("a mass"));
        assert!(
            (found - expected).abs() < 1e-9,
            "{run}: {found}, not {expected}"
        );
    }
}

#[test]
fn the_chain_of_a_run_adds_up_with_its_liquor() {
    let arguments = [
        std::ffi::OsString::from("check"),
        folder().into_os_string(),
        "--chain".into(),
        "N-08".into(),
        "--json".into(),
    ];
    let found = residuum(
        &arguments
            .each_ref()
            .map(|of: &std::ffi::OsString| of.as_os_str()),
    )
    .json();
    let theory = &found["chain"]["theory"];
    let of = |key: &str| number(theory, key);
    let solids = of("feed_mass") * of("feed_assay") + of("residue_mass") * of("residue_assay");
    let sum = of("product_per_feed") * solids + of("liquor") * of("liquor_strength");
    check_digits("theory", of("theory"), sum, 12.0);
    assert_eq!(of("liquor"), 134.0);
}

#[test]
fn iron_builds_up_as_an_independent_calculation_follows_it() {
    let expected = data_json("carried_on.json");
    let found = residuum_json("report", &folder());
    let cycles = &found["recycling"]["loop"];
    let iron = &list(cycles, "build_up")[0];
    let expected_iron = &expected["iron"];
    let without = number(iron, "without");
    check_digits(
        "without",
        without,
        list(expected_iron, "without")[0].as_f64().expect("one"),
        8.0,
    );
    let halves = list(iron, "half_widths").iter();
    let all = list(iron, "cycles").iter().zip(halves);
    let masses = list(expected_iron, "residue").iter();
    let charged = list(&found["recycling"], "cycles").iter();
    for (cycle, mass) in charged.zip(masses) {
        check_digits(
            "residue",
            number(cycle, "residue"),
            mass.as_f64().expect("grams"),
            8.0,
        );
    }
    for ((value, half), own) in all.zip(list(expected_iron, "cycles")) {
        let own = own.as_array().expect("a content and its half width");
        for (found, own) in [value, half].into_iter().zip(own) {
            check_digits(
                "content",
                found.as_f64().expect("one"),
                own.as_f64().expect("one"),
                8.0,
            );
        }
    }
    assert_eq!(iron["passes_at"], 1);
    let all_runs = &list(&found, "impurities")[0];
    assert_eq!(all_runs["kept"], expected["kept"]);
    assert_eq!(all_runs["binding"], "Fe");
}

#[test]
fn wrong_limits_and_contents_are_told() {
    for (file, from, to, told) in [
        (
            "campaign.toml",
            "limit = \"40 ppm\"",
            "limit = \"40\"",
            "`impurities.Fe.limit` is `40`",
        ),
        (
            "campaign.toml",
            "limit = \"40 ppm\"",
            "limit = \"2 g\"",
            "`impurities.Fe.limit` is `2 g`",
        ),
        (
            "campaign.toml",
            "limit = \"40 ppm\"",
            "limits = \"40 ppm\"",
            "did you mean `limit`?",
        ),
        (
            "campaign.toml",
            "[impurities.Fe]",
            "[impurities.Mn]",
            "no content of `Mn` in the logs of crops and residues",
        ),
        ("crops.csv", "381.1,31.2", "381.1,3120000", "`Fe / ppm`"),
        ("crops.csv", "381.1,31.2", "381.1,traces", "`Fe / ppm`"),
    ] {
        let said = check(&edited(file, from, to));
        assert!(said.contains(told), "{from} -> {to}: {said}");
    }
}

#[test]
fn what_cannot_have_been_carried_on_is_told_where_it_stands() {
    for (from, to, told) in [
        // A run that was never made, itself, and one made later.
        (
            "134.0,N-04",
            "134.0,N-44",
            "run `N-05` liquor of an unknown run in `runs.csv` line 6: `N-44`",
        ),
        (
            "134.0,N-04",
            "134.0,N-05",
            "run `N-05` in `runs.csv` line 6 charges liquor of itself",
        ),
        ("134.0,N-04", "134.0,N-09", "N-09 was made later"),
        // More than was left: 206 mL.
        (
            "134.0,N-04",
            "334.0,N-04",
            "of the mother liquor of N-04, which left 206.0 mL, 334.0 mL were taken in all",
        ),
        ("134.0,N-04", "-134.0,N-04", "`liquor_in / mL`"),
        (
            "134.0,N-04",
            "134.0,",
            "the mother liquor charged has neither a strength nor a run it came from",
        ),
        (
            "134.0,N-04",
            ",N-04",
            "`liquor_in` of run `N-05` is empty, though it names mother liquor of N-04",
        ),
        // Nothing was in the jar by then.
        (
            "105.0,N-06,337.7",
            "105.0,N-06,lots",
            "`liquor_in_conc / g/L`",
        ),
        (
            "25.8,shelf jar",
            "25.8,third jar",
            "residue of an unknown run in `runs.csv` line 7: `third jar`",
        ),
        (
            "35.4,shelf jar,0.03",
            "35.4,shelf jar,1.3",
            "`residue_moisture`",
        ),
    ] {
        let said = check(&edited("runs.csv", from, to));
        assert!(said.contains(told), "{from} -> {to}: {said}");
    }
    let said = check(&edited("residues.csv", "N-06,", "N-06x,"));
    assert!(said.contains("N-06x"), "{said}");
    let jar_of_a_run = std::fs::read_to_string(folder().join("residues.csv")).expect("the log");
    let jar_of_a_run = jar_of_a_run.replace("shelf jar", "N-01");
    let copy = CampaignFolder::copy_of(&folder()).with("residues.csv", &jar_of_a_run);
    let said = check(&copy);
    assert!(
        said.contains("jar `N-01` in `residues.csv` line 2 has the name of a run"),
        "{said}"
    );
}

#[test]
fn a_moisture_at_charging_needs_that_of_the_residue() {
    let text = std::fs::read_to_string(folder().join("residues.csv")).expect("the log");
    let dry: String = text
        .lines()
        .map(|line| {
            let mut cells: Vec<&str> = line.split(',').collect();
            if cells[0] == "N-02" {
                cells[3] = "";
            }
            cells.join(",") + "\n"
        })
        .collect();
    let said = check(&CampaignFolder::copy_of(&folder()).with("residues.csv", &dry));
    assert!(
        said.contains("the moisture of the residue of run N-02 is not logged"),
        "{said}"
    );
}

#[test]
fn without_its_factor_the_liquor_counts_in_yields_and_its_gain_is_not_told() {
    let copy = edited(
        "campaign.toml",
        "effects = [\"liquor_ratio\", \"residue_ratio\"]",
        "effects = [\"residue_ratio\"]",
    );
    let found = residuum_json("recycle", copy.path());
    let reason = found["liquor"]["reason"].as_str().expect("a reason");
    assert!(reason.contains("liquor_ratio"), "{reason}");
    assert_eq!(found["liquor"]["verdict"], Value::Null);
    // The demo carries no liquor on.
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone");
    assert_eq!(residuum_json("recycle", &demo)["liquor"], Value::Null);
}
