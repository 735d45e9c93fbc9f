//! Does the fit keep the digits of the certified comparisons of groups?
//!
//! In: four one-way sets of the Statistical Reference Datasets (National Institute of Standards and Technology,
//! public domain) with 15 certified digits; the treatment is a choice factor whose levels are text. Out: a test a
//! set, through `residuum fit`.
//! This module never compares with anything but certified values.

use crate::reference::study::{Study, Table, expected};
use crate::support::number;

/// Digits asked where the readings hold few constant leading digits: binary64 input allows 13 or more.
const DIGITS: f64 = 9.0;

/// Digits asked of SmLs04, whose readings are 1000000.4 and the like: written in binary64 they hold no more than
/// 10.0 digits of the certified sums, found with exact fractions of the rounded readings.
const DIGITS_SEVEN_CONSTANT: f64 = 7.0;

/// Digits asked of SmLs07, whose readings are 1000000000000.4 and the like. One rounding of binary64 is 0.00012
/// there, so that the rounded readings, summed with exact fractions, hold no more than 4.0 digits of the certified
/// sums; the fitted means are rounded to the same 0.00012, and some 0.1 is what is measured. More digits need the
/// reading itself to be kept in decimal.
const DIGITS_THIRTEEN_CONSTANT: f64 = 2.0;

/// Printed and certified names of the figures.
const SUMMARY: [(&str, &str); 6] = [
    ("residual_df", "within_df"),
    ("residual_sd", "residual_sd"),
    ("r_squared", "r_squared"),
    ("ss_model", "between_ss"),
    ("ss_residual", "within_ss"),
    ("f", "F"),
];

fn check(set: &str, digits: f64) {
    let file = format!("nist_anova_{set}");
    let certified = expected(&file);
    let study = Study {
        amounts: &[],
        choices: &["treatment"],
        response: "y",
        model: "",
    };
    println!("{set}");
    let model = study.fit(&Table::read(&file));
    assert_eq!(number(&model.printed, "runs"), number(&certified, "n_obs"));
    // One term a treatment: the constant stands for the first.
    assert_eq!(
        model.term_count() as f64,
        number(&certified, "between_df") + 1.0
    );
    model.check_summary(&SUMMARY, &certified, digits);
}

#[test]
fn si_rstv_five_groups_keep_their_certified_digits() {
    check("SiRstv", DIGITS);
}

#[test]
fn sm_ls_01_nine_groups_keep_their_certified_digits() {
    check("SmLs01", DIGITS);
}

#[test]
fn sm_ls_04_seven_constant_digits_cost_no_more_than_the_readings_lost() {
    check("SmLs04", DIGITS_SEVEN_CONSTANT);
}

#[test]
fn sm_ls_07_thirteen_constant_digits_still_leave_two() {
    check("SmLs07", DIGITS_THIRTEEN_CONSTANT);
}
