//! Figures that other libraries found, and the runs that they are of.
//!
//! In: the file that the check script wrote. Out: its figures, and the invented runs that it used.
//! This module never computes an expected value.

use crate::regression::FitData;
use crate::regression::tests::testing::{amount, certified, choice, runs};

const FIGURES: &str = include_str!("../../../tests/data/diagnostics.json");

/// One figure.
pub(crate) fn figure(name: &str) -> f64 {
    certified(FIGURES, name)
}

/// What stands behind a name, up to the end of its line.
fn raw(name: &str) -> &'static str {
    let key = format!("\"{name}\":");
    let start = FIGURES.find(&key).expect("the name stands in the file") + key.len();
    let line = FIGURES[start..].lines().next().expect("a line");
    line.trim_end_matches([',', '}'])
}

/// A list of figures, which stands on one line.
pub(crate) fn list(name: &str) -> Vec<f64> {
    let inner = raw(name).trim_start_matches('[').trim_end_matches(']');
    inner
        .split(',')
        .map(|number| number.parse().expect("a number"))
        .collect()
}

/// A text.
pub(crate) fn text(name: &str) -> &'static str {
    raw(name).trim_matches('"')
}

/// The invented log of the check script: a choice of three levels and two amounts, the second half repeating the first.
pub(crate) fn invented() -> FitData {
    let heating = ["muffle", "hob", "torch"].repeat(8);
    let oxidant = [
        20.0, 20.0, 20.0, 60.0, 60.0, 60.0, 100.0, 100.0, 100.0, 40.0, 40.0, 40.0,
    ];
    let ratio = [0.0, 0.3, 0.1, 0.2, 0.0, 0.5, 0.4, 0.2, 0.0, 0.6, 0.1, 0.3];
    let response = vec![
        70.7, 67.0, 60.7, 76.3, 70.4, 66.6, 78.2, 72.7, 67.9, 76.0, 68.7, 64.3, 71.5, 66.2, 62.0,
        75.7, 71.7, 65.5, 79.1, 73.8, 66.7, 74.8, 69.4, 67.1,
    ];
    runs(
        response,
        vec![
            choice("heating", &["muffle", "hob", "torch"], &heating),
            amount("oxidant", oxidant.repeat(2)),
            amount("ratio", ratio.repeat(2)),
        ],
    )
}
