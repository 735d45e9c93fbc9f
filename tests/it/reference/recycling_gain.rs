//! Does an independent calculation of what residue gains agree?
//!
//! In: `tests/data/recycling_gain.json`, worked out from the logs of the bluestone campaign by
//! `tests/check-scripts/recycling_gain.py` with numpy, scipy and uncertainties. Out: a test of `residuum recycle`.
//! This module never asks whether the true effects of the simulation were found.

use std::path::{Path, PathBuf};

use serde_json::Value;
use sha2::{Digest, Sha256};

use crate::support::{check_digits, data_json, number, residuum_json};

/// Digits asked of what no fit enters but by rounding.
const DIGITS: f64 = 12.0;
/// Digits asked of what rests on the fitted yields: the fit that knows the measurement stops where a value moves by less than
/// 1e-10 of its standard error, and the gain is a small difference of such values.
const DIGITS_OF_FIT: f64 = 7.0;

fn bluestone() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data-demo/bluestone")
}

fn independent() -> Value {
    data_json("recycling_gain.json")
}

#[test]
fn the_independent_gain_was_worked_out_from_the_logs_as_they_are_now() {
    for (name, expected) in independent()["sha256"]
        .as_object()
        .expect("digests by file")
    {
        let bytes = std::fs::read(bluestone().join(name)).expect("a file of the demo campaign");
        let digest: String = Sha256::digest(&bytes)
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        assert_eq!(
            expected, &digest,
            "`{name}` has changed: run `python tests/check-scripts/recycling_gain.py` again"
        );
    }
}

#[test]
fn the_gain_and_its_uncertainty_are_those_of_an_independent_calculation() {
    let found = residuum_json("recycle", &bluestone())["recycling"].take();
    let expected = &independent()["expected"];
    let check = |what: &str, value: &Value, key: &str, digits: f64| {
        let value = value.as_f64().expect("a number");
        check_digits(what, value, number(expected, key), digits);
    };
    let terms = &found["terms"];
    check("  ratio", &found["ratio"], "ratio", DIGITS);
    for (name, key) in [
        ("oxidant", "oxidant_term"),
        ("further_reagents", "reagents_term"),
        ("handling", "handling_term"),
        ("disposal", "disposal_term"),
    ] {
        check(name, &terms[name], key, DIGITS);
    }
    for (part, key) in [("value", ""), ("u", "_u")] {
        let of = |name: &str| format!("{name}{key}");
        let (extra, gain) = (&found["extra_product"][part], &found["gain_per_run"][part]);
        check(
            "  extra product",
            extra,
            &of("extra_product"),
            DIGITS_OF_FIT,
        );
        check("  gain", gain, &of("gain"), DIGITS_OF_FIT);
    }
    check(
        "  product",
        &terms["product"],
        "product_term",
        DIGITS_OF_FIT,
    );
}

#[test]
fn the_gain_valued_as_feed_and_as_runs_is_that_of_an_independent_calculation() {
    let found = residuum_json("recycle", &bluestone())["recycling"].take();
    let expected = &independent()["expected"];
    for (way, key) in [
        ("product", "gain"),
        ("feed", "gain_by_feed"),
        ("runs", "gain_by_runs"),
    ] {
        let value = &found["ways"][way]["gain_per_run"]["value"];
        let value = value.as_f64().expect("a number");
        check_digits(way, value, number(expected, key), DIGITS_OF_FIT);
    }
    // The campaign file says which way counts, so that the verdict is that of this way.
    assert_eq!(found["verdict"], "pays");
    assert_eq!(found["ways"]["feed"]["verdict"], "does not pay");
}
