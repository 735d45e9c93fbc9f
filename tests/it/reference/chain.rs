//! Does a calculation in plain steps agree with the chain that is printed of a run, and with the report?
//!
//! In: `tests/data/chain.json`, worked out from readings by `tests/check-scripts/chain.py` in plain Python. Out: tests of
//! `residuum check --chain` and `residuum yields`, on the demo campaign and on one with back titration and dried samples.
//! This module never takes an expected value from residuum.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::support::{
    CampaignFolder, check_digits, check_printed, data_json, list, member, number, residuum,
    residuum_json,
};

/// Digits asked: both sides take the same few steps in binary64.
const DIGITS: f64 = 10.0;

fn bluestone() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone")
}

/// The campaign that the script made up, as a folder.
fn invented(reference: &Value) -> CampaignFolder {
    let text = |value: &Value| value.as_str().expect("a text").to_string();
    let folder = CampaignFolder::new().with("campaign.toml", &text(&reference["campaign"]));
    let logs = reference["logs"].as_object().expect("logs by name");
    logs.iter()
        .fold(folder, |folder, (name, log)| folder.with(name, &text(log)))
}

/// What `residuum check CAMPAIGN --chain RUN` prints, as data and as text.
fn chain(campaign: &Path, run: &str) -> (Value, String) {
    let arguments = [
        "check".as_ref(),
        campaign.as_os_str(),
        "--chain".as_ref(),
        run.as_ref(),
    ];
    let with_json: Vec<&OsStr> = arguments
        .iter()
        .copied()
        .chain(["--json".as_ref()])
        .collect();
    let data = residuum(&with_json).json()["chain"].take();
    let told = residuum(&arguments);
    assert_eq!(told.exit_code, 0, "{}", told.stderr);
    (data, told.stdout)
}

/// The number that stands last in the line which begins so.
fn last_of<'a>(text: &'a str, begins: &str) -> &'a str {
    let line = text.lines().find(|line| line.starts_with(begins));
    let line = line.unwrap_or_else(|| panic!("no `{begins}` in {text}"));
    line.rsplit(" = ").next().unwrap_or_default().trim()
}

/// Holds one run against the calculation, step by step.
fn check_run(campaign: &Path, yields: &[Value], expected: &Value, strengths: &Value) {
    let run = expected["run"].as_str().expect("a name");
    let (data, text) = chain(campaign, run);
    let theory = &data["theory"];
    for key in [
        "feed_mass",
        "feed_assay",
        "residue_mass",
        "residue_assay",
        "product_per_feed",
    ] {
        check_digits(
            &format!("{run} {key}"),
            number(theory, key),
            number(expected, key),
            DIGITS,
        );
    }
    let total = number(expected, "theory_total");
    check_digits(
        &format!("{run} theory"),
        number(theory, "theory"),
        total,
        DIGITS,
    );
    let contained = number(expected, "contained");
    check_digits(
        &format!("{run} contained"),
        number(&data, "contained"),
        contained,
        DIGITS,
    );
    check_printed(
        "contained as printed",
        contained,
        last_of(&text, "contained yield = "),
    );
    let titres = list(&data, "titres");
    for titre in titres {
        let name = titre["titrant"].as_str().expect("a titrant");
        let strength = number(titre, "concentration");
        check_digits(
            &format!("{run} {name}"),
            strength,
            number(strengths, name),
            DIGITS,
        );
    }
    for (crop, printed) in list(expected, "crops").iter().zip(list(&data, "crops")) {
        assert_eq!(crop["crop"], printed["crop"], "{run}");
        for key in ["mass", "purity"] {
            let what = format!("{run} crop {} {key}", crop["crop"]);
            check_digits(&what, number(printed, key), number(crop, key), DIGITS);
        }
        let begins = format!("crop {}: purity as weighed = ", crop["crop"]);
        let shown = last_of(&text, &begins);
        check_printed("purity as printed", number(crop, "purity"), shown);
        let found = titres.iter().filter(|titre| titre["crop"] == crop["crop"]);
        let found: Vec<f64> = found.map(|titre| number(titre, "found")).collect();
        let single = list(crop, "titres");
        assert_eq!(found.len(), single.len(), "{run}");
        for (found, single) in found.iter().zip(single) {
            let single = single.as_f64().expect("a number");
            check_digits(&format!("{run} titre"), *found, single, DIGITS);
        }
    }
    let reported = member(yields, "run", run).unwrap_or_else(|| panic!("no run `{run}`"));
    for key in [
        "contained",
        "contained_fresh",
        "purity",
        "theory_fresh",
        "theory_total",
        "closure",
    ] {
        if expected[key].is_null() {
            assert!(reported[key].is_null(), "{run} {key}: {}", reported[key]);
            continue;
        }
        let value = number(&reported[key], "value");
        check_digits(
            &format!("{run} {key} reported"),
            value,
            number(expected, key),
            DIGITS,
        );
    }
}

fn check_campaign(campaign: &Path, reference: &Value) {
    let result = residuum_json("yields", campaign);
    let expected = list(reference, "runs");
    assert!(!expected.is_empty());
    for run in expected {
        check_run(
            campaign,
            list(&result, "yields"),
            run,
            &reference["strengths"],
        );
    }
}

#[test]
fn the_plain_calculation_read_the_logs_as_they_are_now() {
    let digests = data_json("chain.json")["sha256"].take();
    for (name, expected) in digests.as_object().expect("digests by file") {
        let bytes = std::fs::read(bluestone().join(name)).expect("a log of the demo campaign");
        let digest = Sha256::digest(&bytes);
        let digest: String = digest.iter().map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(
            expected, &digest,
            "`{name}` has changed: run `python tests/check-scripts/chain.py` again"
        );
    }
}

#[test]
fn residue_charged_two_crops_and_a_bought_titrant_agree_step_by_step() {
    check_campaign(&bluestone(), &data_json("chain.json")["bluestone"]);
}

#[test]
fn back_titration_of_dried_and_diluted_samples_agrees_step_by_step() {
    let reference = data_json("chain.json")["invented"].take();
    check_campaign(invented(&reference).path(), &reference);
}
