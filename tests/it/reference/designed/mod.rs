//! Does the fit repeat the worked examples of designed experiments?
//!
//! In: worked examples of textbooks, some of whose figures are from memory and reproduced with a general-purpose
//! statistics library (`tests/data/SOURCE.md` says which). Out: tests through `residuum fit`, at printed precision
//! against what was published and to nine digits against what was computed.
//! This module never compares a figure that the first version of `fit` does not print.

mod blocks;
mod groups;
mod surface;
mod two_level;

use serde_json::Value;

use crate::reference::study::Model;
use crate::support::{check_digits, number};

/// Digits asked against values that the library computed in binary64 by another factorisation.
const DIGITS: f64 = 9.0;

/// Computed figures below this are zeros with rounding on them; the responses here are of the order of 10 to 100.
const ROUNDING_OF_A_ZERO: f64 = 1e-12;

/// Printed and computed names of the figures of a whole fit.
const SUMMARY: [(&str, &str); 6] = [
    ("residual_sd", "residual_sd"),
    ("residual_df", "residual_df"),
    ("r_squared", "r_squared"),
    ("adjusted_r_squared", "adj_r_squared"),
    ("f", "F"),
    ("f_p", "F_p"),
];

/// Compares value, standard error, t and p of terms, by pairs of names: as printed, as computed.
fn check_terms(model: &Model, computed: &Value, names: &[(&str, &str)]) {
    let keys = [("value", "b"), ("u", "se"), ("t", "t"), ("p", "p")];
    for (name, reference) in names {
        let term = model.term(name);
        for (printed, prefix) in keys {
            let expected = number(computed, &format!("{prefix}_{reference}"));
            let expected = if expected.abs() < ROUNDING_OF_A_ZERO && printed != "p" {
                0.0
            } else {
                expected
            };
            check_digits(
                &format!("  {printed} of {name}"),
                number(term, printed),
                expected,
                DIGITS,
            );
        }
    }
}
