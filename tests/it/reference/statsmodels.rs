//! Does an independent calculation of the bluestone campaign agree?
//!
//! In: `tests/data/bluestone_statsmodels.json`, worked out from the same logs by
//! `tests/check-scripts/bluestone_statsmodels.py` with numpy, pandas and statsmodels. Out: tests of `residuum yields`,
//! run by run, and of `residuum fit`, term by term.
//! This module never asks whether the true effects of the simulation were found.

use std::path::{Path, PathBuf};

use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::reference::study::Model;
use crate::support::{
    CampaignFolder, check_digits, data_json, list, matching_digits, member, number, residuum_json,
};

/// Digits asked: both sides sum a few dozen numbers in binary64 in another order, and t and p pass on the
/// rounding of a small difference.
const DIGITS: f64 = 8.0;

/// The one heating method that was only ever run on one lot, and that lot only with it.
const TANGLED: &str = "heating: kiln";

/// The lot that it was run on.
const TANGLED_WITH: &str = "lot: D";

fn bluestone() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone")
}

fn independent() -> Value {
    data_json("bluestone_statsmodels.json")
}

/// The models of the campaign by ordinary least squares, whatever its file asks for.
fn plain_models() -> Vec<Value> {
    let original = std::fs::read_to_string(bluestone().join("campaign.toml"))
        .expect("the demo campaign can be read");
    let lines: Vec<&str> = original
        .lines()
        .filter(|line| !line.trim_start().starts_with("method"))
        .collect();
    let plain = lines
        .join("\n")
        .replacen("[model]", "[model]\nmethod = \"plain\"", 1);
    let folder = CampaignFolder::copy_of(&bluestone()).with("campaign.toml", &plain);
    list(&residuum_json("fit", folder.path()), "models").to_vec()
}

fn check_model(response: &str) {
    let models = plain_models();
    let printed = member(&models, "response", response).expect("a model of the response");
    let model = Model {
        printed: printed.clone(),
    };
    let expected = &independent()["models"][response];
    let summary = [
        "runs",
        "residual_df",
        "residual_sd",
        "r_squared",
        "adjusted_r_squared",
        "f",
        "f_p",
    ];
    model.check_summary(&summary.map(|key| (key, key)), expected, DIGITS);
    let terms = list(expected, "terms");
    assert!(member(terms, "term", TANGLED).is_some());
    assert_eq!(model.term_count(), terms.len() - 1);
    for term in terms {
        let name = term["term"].as_str().expect("a name");
        if name == TANGLED {
            assert!(
                model.find_term(name).is_none(),
                "`{name}` stands among the terms"
            );
            assert!(
                model.is_not_separable(name),
                "{}",
                model.printed["not_separable"]
            );
            assert!(
                model.is_not_separable(TANGLED_WITH),
                "{}",
                model.printed["not_separable"]
            );
        } else {
            for key in ["value", "u", "t", "p"] {
                let what = format!("  {key} of {name}");
                check_digits(
                    &what,
                    number(model.term(name), key),
                    number(term, key),
                    DIGITS,
                );
            }
        }
    }
}

#[test]
fn the_independent_calculation_read_the_logs_as_they_are_now() {
    let digests = independent()["sha256"].take();
    for (name, expected) in digests.as_object().expect("digests by file") {
        let bytes = std::fs::read(bluestone().join(name)).expect("a log of the demo campaign");
        let digest: String = Sha256::digest(&bytes)
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        assert_eq!(
            expected, &digest,
            "`{name}` has changed: run `python tests/check-scripts/bluestone_statsmodels.py` again"
        );
    }
}

#[test]
fn contained_yield_and_purity_of_each_run_agree() {
    let result = residuum_json("yields", &bluestone());
    let (yields, reference) = (list(&result, "yields"), independent());
    let expected = list(&reference, "yields");
    let mut fewest = f64::INFINITY;
    for line in expected {
        let run = line["run"].as_str().expect("a name");
        let printed = member(yields, "run", run).unwrap_or_else(|| panic!("no run `{run}`"));
        for key in ["contained", "purity"] {
            if line[key].is_null() {
                assert!(printed[key].is_null(), "{key} of {run}: {}", printed[key]);
                continue;
            }
            let (actual, expected) = (number(&printed[key], "value"), number(line, key));
            let digits = matching_digits(actual, expected);
            assert!(
                digits >= DIGITS,
                "{key} of {run}: {actual} agrees with {expected} to {digits:.1} digits"
            );
            fewest = fewest.min(digits);
        }
    }
    println!("{} runs: {fewest:.1} digits or more", expected.len());
}

#[test]
fn the_model_of_yield_agrees_term_by_term() {
    check_model("yield");
}

#[test]
fn the_model_of_purity_agrees_term_by_term() {
    check_model("purity");
}
