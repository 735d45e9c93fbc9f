//! Is a declared response the same whatever it is called?
//!
//! In: declared responses with the names of what the program works out by itself. Out: tests of every call.
//! This module never renames anything but the two declared responses.

use super::campaign::Names;
use super::compare::check;

#[track_caller]
fn check_responses(timed: &str, beside: &str) {
    check(&Names {
        timed: timed.into(),
        beside: beside.into(),
        ..Names::ordinary()
    });
}

#[test]
fn a_response_called_like_a_model_of_the_decisions_is_not_that_model() {
    check_responses("cost", "labour");
    check_responses("labour", "cost");
}

#[test]
fn a_response_called_like_what_residue_and_reagents_need_is_not_that() {
    check_responses("residue left", "cost of further reagents");
    check_responses("cost of further reagents", "residue left");
}

#[test]
fn a_response_called_like_a_source_of_uncertainty_is_not_that_source() {
    check_responses("yield of lot A", "assay of lot A");
    check_responses("purity of way", "yield with more acid");
}

#[test]
fn a_response_called_like_a_factor_is_not_that_factor() {
    check_responses("acid", "roast: hob");
    check_responses("constant", "lot");
}
