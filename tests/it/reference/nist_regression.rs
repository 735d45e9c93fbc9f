//! Does the fit keep the digits of the certified regressions?
//!
//! In: six linear least-squares sets of the Statistical Reference Datasets (National Institute of Standards and
//! Technology, public domain) with 15 certified digits. Out: a test a set, through `residuum fit`.
//! This module never compares with anything but certified values.

use crate::reference::study::{Model, Study, Table, expected};
use crate::support::{check_digits, number};

/// Digits asked of every figure of the sets of lower and average difficulty, and of Longley: what an orthogonal
/// factorisation in binary64 keeps with room to spare.
const DIGITS: f64 = 9.0;

/// Digits asked of Wampler1: powers up to the fifth of 0 to 20, with a perfect fit.
const DIGITS_WAMPLER_1: f64 = 8.0;

/// Digits asked of Wampler4: coefficients of 1 under residuals of some 200 000.
const DIGITS_WAMPLER_4: f64 = 7.0;

/// What may be left where the certified standard deviation is 0, in units of the response: the responses reach
/// 3.4 million, where one rounding of binary64 is 5e-10, and 21 of them add up to far less than this.
const ROUNDING_OF_A_PERFECT_FIT: f64 = 1e-6;

/// Printed and certified names of the figures of a whole fit.
const SUMMARY: [(&str, &str); 6] = [
    ("residual_df", "residual_df"),
    ("residual_sd", "residual_sd"),
    ("r_squared", "r_squared"),
    ("ss_model", "regression_ss"),
    ("ss_residual", "residual_ss"),
    ("f", "F"),
];

/// Names of the terms of a fifth-degree polynomial, with the certified parameters that they are.
const FIFTH_DEGREE: [(&str, &str); 6] = [
    ("constant", "B0"),
    ("x", "B1"),
    ("x to the 2", "B2"),
    ("x to the 3", "B3"),
    ("x to the 4", "B4"),
    ("x to the 5", "B5"),
];

fn fit(set: &str, amounts: &[&str], model: &str) -> Model {
    let study = Study {
        amounts,
        choices: &[],
        response: "y",
        model,
    };
    println!("{set}");
    study.fit(&Table::read(&format!("nist_lls_{set}")))
}

/// Compares every certified figure of a set.
fn check(set: &str, amounts: &[&str], model: &str, terms: &[(&str, &str)], digits: f64) {
    let certified = expected(&format!("nist_lls_{set}"));
    let model = fit(set, amounts, model);
    assert_eq!(number(&model.printed, "runs"), number(&certified, "n_obs"));
    assert_eq!(model.term_count(), terms.len());
    for (name, parameter) in terms {
        let term = model.term(name);
        let value = number(&certified, parameter);
        check_digits(&format!("  {name}"), number(term, "value"), value, digits);
        let deviation = number(&certified, &format!("sd_{parameter}"));
        check_digits(
            &format!("  u of {name}"),
            number(term, "u"),
            deviation,
            digits,
        );
    }
    model.check_summary(&SUMMARY, &certified, digits);
}

#[test]
fn norris_a_straight_line_keeps_its_certified_digits() {
    check("Norris", &["x"], "", &FIFTH_DEGREE[..2], DIGITS);
}

#[test]
fn pontius_a_parabola_over_millions_keeps_its_certified_digits() {
    check(
        "Pontius",
        &["x"],
        "curved = { x = 2 }",
        &FIFTH_DEGREE[..3],
        DIGITS,
    );
}

#[test]
fn no_int_1_a_line_through_zero_keeps_its_certified_digits() {
    check("NoInt1", &["x"], "constant = false", &[("x", "B1")], DIGITS);
}

#[test]
fn longley_six_nearly_dependent_amounts_keep_their_certified_digits() {
    let terms = [
        ("constant", "B0"),
        ("x1", "B1"),
        ("x2", "B2"),
        ("x3", "B3"),
        ("x4", "B4"),
        ("x5", "B5"),
        ("x6", "B6"),
    ];
    let amounts = ["x1", "x2", "x3", "x4", "x5", "x6"];
    check("Longley", &amounts, "", &terms, DIGITS);
}

#[test]
fn wampler_4_a_fifth_degree_under_large_residuals_keeps_its_certified_digits() {
    check(
        "Wampler4",
        &["x"],
        "curved = { x = 5 }",
        &FIFTH_DEGREE,
        DIGITS_WAMPLER_4,
    );
}

#[test]
fn wampler_1_a_perfect_fifth_degree_has_its_values_and_no_test_statistic() {
    let certified = expected("nist_lls_Wampler1");
    let model = fit("Wampler1", &["x"], "curved = { x = 5 }");
    assert_eq!(model.term_count(), FIFTH_DEGREE.len());
    for (name, parameter) in FIFTH_DEGREE {
        let term = model.term(name);
        let value = number(&certified, parameter);
        check_digits(
            &format!("  {name}"),
            number(term, "value"),
            value,
            DIGITS_WAMPLER_1,
        );
        assert!(
            number(term, "u").abs() <= ROUNDING_OF_A_PERFECT_FIT,
            "{term}"
        );
        assert!(term["t"].is_null() && term["p"].is_null(), "{term}");
    }
    let summary = [("r_squared", "r_squared"), ("ss_model", "regression_ss")];
    model.check_summary(&summary, &certified, DIGITS);
    assert_eq!(
        number(&model.printed, "residual_df"),
        number(&certified, "residual_df")
    );
    assert!(number(&model.printed, "residual_sd").abs() <= ROUNDING_OF_A_PERFECT_FIT);
    assert!(model.printed["f"].is_null() && model.printed["f_p"].is_null());
}
