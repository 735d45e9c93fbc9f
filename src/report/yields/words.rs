//! Questions 1 and 2 in words: what the runs gave, and where the rest went.
//!
//! In: what was found. Out: sentences and pieces of them, names as they were logged.
//! This module never computes a yield.

use crate::decide::{Given, Liquors};
use crate::pipeline::Analysis;
use crate::report::print::{decimals_for, fixed, percent, plus_minus, when};

/// `0.60 to 1.23`: half the width of the interval of one yield, in points.
pub fn reach(given: &Given) -> String {
    let [low, _, high] = given.half_widths.map(|half| 100.0 * half);
    let [low, high] = [low, high].map(|half| fixed(half, decimals_for(low)));
    match low == high {
        true => low,
        false => format!("{low} to {high}"),
    }
}

/// What the middle of the balances is of, and whether another crop is worth boiling for.
pub fn went_in_words(analysis: &Analysis) -> String {
    let crop = analysis.findings.liquors.as_ref();
    let crop = crop.and_then(|known| another_crop(known, analysis.coverage_factor()));
    crop.unwrap_or_default()
}

/// Whether another crop is worth boiling for, in one sentence.
fn another_crop(liquors: &Liquors, factor: f64) -> Option<String> {
    let next = liquors.next?;
    let bound = when(
        liquors.common_ion.is_some(),
        " The figures of each run are upper bounds.",
    );
    Some(format!(
        "In the middle run plain solubility keeps {} of theory in the last liquor; boiling it down to half would bring a further crop of {} g, {} of theory.{bound}",
        percent(liquors.kept?, 1),
        plus_minus(next.mass, factor * next.uncertainty),
        percent(next.of_theory, 1),
    ))
}
