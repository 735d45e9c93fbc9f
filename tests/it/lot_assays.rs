//! Are several assays of a lot combined as they should be, and told where they cannot all be true?
//!
//! In: `tests/data/consensus.json` by `tests/check-scripts/consensus.py`, invented lots. Out: tests of figures, doubts and faults.
//! This module never takes a figure from the program.

use serde_json::Value;

use residuum::measured::Consensus;

use crate::support::{
    CampaignFolder, Outcome, check_digits, check_printed, data_json, list, member, number, residuum,
};

/// Digits asked: weighted sums of a few numbers, and a variance that is solved for until it stands still.
const DIGITS: f64 = 8.0;

const CAMPAIGN: &str = r#"[campaign]
title = "Several assays"
product = "CuSO4·5H2O"
followed = "Cu"
assay_as = "CuO"
[logs]
runs = "runs.csv"
lots = "lots.csv"
"#;

const RUNS: &str = "run,lot,feed_mass,crop1_mass,purity\nR1,A,100,180,0.98\nR2,A,100,184,0.98\n";

fn call(lots: &str, more: &str) -> Outcome {
    let folder = CampaignFolder::new()
        .with("campaign.toml", &format!("{CAMPAIGN}{more}"))
        .with("runs.csv", RUNS)
        .with("lots.csv", lots);
    let path = folder.path().to_str().expect("UTF-8");
    residuum(&["yields", path, "--json", "--quiet"])
}

fn lot(lots: &str, more: &str) -> (Value, Value) {
    let mut result = call(lots, more).json();
    let of = result["lots"][0].take();
    (of, result)
}

fn doubts(result: &Value, kind: &str) -> Vec<String> {
    let doubts = list(result, "caveats")
        .iter()
        .filter(|doubt| doubt["kind"] == kind);
    doubts.map(|doubt| doubt["seen"].to_string()).collect()
}

#[test]
fn a_consensus_agrees_with_a_general_library() {
    let expected = data_json("consensus.json");
    for (name, set) in expected.as_object().expect("sets") {
        let numbers = |key: &str| -> Vec<f64> {
            list(set, key)
                .iter()
                .map(|of| of.as_f64().expect("a number"))
                .collect()
        };
        let pairs: Vec<(f64, f64)> = numbers("values").into_iter().zip(numbers("u")).collect();
        let found = Consensus::of(&pairs).expect("estimates");
        let of = &set["consensus"];
        let half = found.half_width(0.95).expect("several");
        for (what, found, expected) in [
            ("Q", found.q, number(set, "q")),
            (
                "DerSimonian-Laird",
                found.start,
                number(set, "der_simonian_laird"),
            ),
            ("Paule-Mandel", found.between, number(set, "paule_mandel")),
            ("value", found.value, number(of, "value")),
            ("u", found.uncertainty, number(of, "u")),
            ("half-width", half, number(of, "half_width")),
        ] {
            check_digits(&format!("{name}, {what}"), found, expected, DIGITS);
        }
        // Where there is a variance between, the factor of Hartung and Knapp is 1.
        if found.between > 0.0 {
            let theirs = number(of, "u_hartung_knapp");
            check_digits(
                &format!("{name}, Hartung-Knapp"),
                found.uncertainty,
                theirs,
                DIGITS,
            );
        }
        if let Some(printed) = set["printed_paule_mandel_sd"].as_str() {
            check_printed(name, found.between.sqrt(), printed);
        }
    }
}

#[test]
fn assays_of_several_sources_are_one_assay_of_the_lot() {
    let lots = "lot,source,assay,u_assay\nA,own titration,0.812,0.004\nA,supplier,0.835,0.006\nA,laboratory,0.797,0.003\n";
    let (of, result) = lot(lots, "");
    let expected = data_json("consensus.json")["apart"].take();
    let assay = &expected["consensus"];
    check_digits(
        "assay",
        number(&of["assay"], "value"),
        number(assay, "value"),
        DIGITS,
    );
    check_digits("u", number(&of["assay"], "u"), number(assay, "u"), DIGITS);
    assert_eq!(list(&of, "sources").len(), 3);
    // One error for both runs: what they share of their budgets is the lot's.
    for run in list(&result, "yields") {
        let budget = list(run, "budget");
        assert!(
            member(budget, "source", "assay of lot A").is_some(),
            "{run}"
        );
    }
    let told = doubts(&result, "assays of a lot disagree");
    assert!(
        told.len() == 1 && told[0].contains("3 assays of lot"),
        "{told:?}"
    );
}

#[test]
fn assays_that_agree_are_surer_together_than_each() {
    let lots = "lot,source,assay,u_assay\nA,own,0.812,0.004\nA,supplier,0.815,0.006\nA,laboratory,0.8105,0.003\n";
    let (of, result) = lot(lots, "");
    assert!(number(&of["assay"], "u") < 0.003, "{of}");
    assert!(doubts(&result, "assays of a lot disagree").is_empty());
}

#[test]
fn a_claim_without_uncertainty_takes_the_stated_one_or_has_no_weight() {
    let lots = "lot,source,assay,u_assay\nA,own,0.812,0.004\nA,supplier,0.830,\n";
    let (of, result) = lot(lots, "");
    assert_eq!(number(&of["assay"], "value"), 0.812);
    assert_eq!(of["sources"][1]["weight"], 0.0);
    let told = doubts(&result, "assay without weight");
    assert!(told.len() == 1 && told[0].contains("supplier"), "{told:?}");
    let (of, result) = lot(lots, "[uncertainty]\nassay = \"0.004\"\n");
    assert!(
        (number(&of["assay"], "value") - 0.821).abs() < 1e-12,
        "{of}"
    );
    assert!(doubts(&result, "assay without weight").is_empty());
    // None of them knows: the mean, with the doubt that a claim alone has.
    let lots = "lot,source,assay\nA,own,0.812\nA,supplier,0.830\n";
    let result = call(lots, "").json();
    assert!(result["lots"].is_null());
    assert_eq!(doubts(&result, "assay without uncertainty").len(), 1);
}

#[test]
fn assays_that_cannot_both_be_true_stop_the_work() {
    let lots = "lot,source,assay,u_assay\nA,own,0.8,0.004\nA,supplier,0.08,0.01\n";
    let outcome = call(lots, "");
    assert_eq!(outcome.exit_code, 2, "{}", outcome.stdout);
    for part in [
        "two assays of lot `A` cannot both be true",
        "`lots.csv` line 2",
        "`lots.csv` line 3",
        "0.8 and 0.08",
        "hint: look for a decimal point",
    ] {
        assert!(outcome.stderr.contains(part), "{}", outcome.stderr);
    }
    // A claim that says how little it knows is a poor claim, not a wrong one.
    let lots = "lot,source,assay,u_assay\nA,own,0.8,0.004\nA,supplier,0.5,0.1\n";
    assert_eq!(call(lots, "").exit_code, 0);
}

#[test]
fn a_lot_from_one_source_twice_is_still_a_fault() {
    for lots in [
        "lot,assay\nA,0.81\nA,0.82\n",
        "lot,source,assay\nA,own,0.81\nA,own,0.82\n",
        "lot,source,assay\nA,,0.81\nA,,0.82\n",
    ] {
        let outcome = call(lots, "");
        assert_eq!(outcome.exit_code, 2, "{}", outcome.stdout);
        assert!(
            outcome.stderr.contains("stands there already"),
            "{}",
            outcome.stderr
        );
        assert!(
            outcome.stderr.contains("each lot has one row"),
            "{}",
            outcome.stderr
        );
    }
}

#[test]
fn a_lot_has_one_price_whatever_its_sources_say() {
    let prices = "[prices]\ncurrency = \"EUR\"\nfeed = \"4 /kg\"\n";
    let lots = "lot,source,assay,u_assay,price\nA,own,0.81,0.004,4.20 /kg\nA,supplier,0.82,0.004,5.20 /kg\n";
    let result = call(lots, prices).json();
    let left_out = list(&result, "left_out");
    assert!(
        left_out.iter().any(|row| row["reason"]
            .to_string()
            .contains("not that of the first row")),
        "{left_out:?}"
    );
    let lots =
        "lot,source,assay,u_assay,price\nA,own,0.81,0.004,\nA,supplier,0.82,0.004,5.20 /kg\n";
    let result = call(lots, prices).json();
    assert_eq!(list(&result, "left_out").len(), 0);
}
