//! Does `residuum foresee` tell what was never run, from what, and what it does not know?
//!
//! In: invented campaigns in `tests/data/foresee`, facts of the trade (common practice, no source), and figures worked out by
//! `tests/check-scripts/foresee.py`. Out: tests of text, data and faults.
//! This module never takes a figure from the program.

mod bad_options;
mod bad_routes;
mod crops;
mod routes;
mod washes;

use std::path::{Path, PathBuf};

use serde_json::Value;

use crate::support::{Outcome, check_digits, data_json, number, residuum};

/// Digits asked of a few products of handbook figures, each rounded once in binary64.
const DIGITS: f64 = 8.0;

fn campaign(name: &str) -> PathBuf {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/foresee");
    data.join(name)
}

/// The call on a campaign, with these options.
fn call(campaign: &Path, options: &[&str]) -> Outcome {
    let path = campaign.to_str().expect("UTF-8");
    let call = ["foresee", path];
    residuum(&[&call[..], options].concat())
}

/// What it gives as data.
fn foreseen(campaign: &Path, options: &[&str]) -> Value {
    let options = [options, &["--json", "--quiet"]].concat();
    call(campaign, &options).json()["foresee"].take()
}

/// What it gives as text.
fn text(campaign: &Path, options: &[&str]) -> String {
    let outcome = call(campaign, options);
    assert_eq!(outcome.exit_code, 0, "{}", outcome.stderr);
    outcome.stdout
}

/// The figures of the independent calculation under that key.
fn expected(key: &str) -> Value {
    data_json("foresee.json")[key].take()
}

/// A value with its standard uncertainty agrees with `mass` and `u` of the calculation.
fn check_measured(what: &str, found: &Value, expected: &Value, key: &str) {
    check_digits(what, number(found, "value"), number(expected, key), DIGITS);
    let u = format!("{what}: u");
    check_digits(&u, number(found, "u"), number(expected, "u"), DIGITS);
}

/// Texts of a list, one below the other.
fn joined(list: &Value) -> String {
    let texts = list.as_array().expect("a list").iter();
    let texts: Vec<&str> = texts.filter_map(Value::as_str).collect();
    texts.join("\n")
}
