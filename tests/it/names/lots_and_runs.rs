//! Are lots and runs the same whatever they are called?
//!
//! In: lots and runs with names that read like sources of uncertainty, factors or sentences. Out: tests of every call.
//! This module never gives a lot a name with a `;`, which parts the lots of a run.

use super::campaign::Names;
use super::compare::check;

#[track_caller]
fn check_lots(lots: [&str; 3]) {
    check(&Names {
        lots: lots.map(str::to_string),
        ..Names::ordinary()
    });
}

#[track_caller]
fn check_runs(run: &str) {
    check(&Names {
        run: run.into(),
        ..Names::ordinary()
    });
}

#[test]
fn lots_called_like_sources_of_uncertainty_are_lots() {
    check_lots(["assay of lot A", "A", "assay of lot assay of lot A"]);
    check_lots(["price of product", "feed_mass", "sampling"]);
}

#[test]
fn lots_called_like_terms_and_words_are_lots() {
    check_lots(["lot: A", "A with B", "constant"]);
    check_lots(["A", "Aa, B", "Ab and B"]);
}

#[test]
fn runs_called_like_sentences_are_runs() {
    check_runs("run 1: ");
    check_runs("assay of lot A, ");
    check_runs("yield, xbar chart, ");
}
