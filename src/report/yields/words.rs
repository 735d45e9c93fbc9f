//! Questions 1 and 2 in words: what the runs gave, and where the rest went.
//!
//! In: what was found. Out: sentences and pieces of them, names as they were logged.
//! This module never computes a yield.

use crate::decide::{Given, Liquors};
use crate::pipeline::Analysis;
use crate::report::print::{
    and_list, around, decimals_for, fixed, joined, percent, plus_minus, when,
};
use crate::report::reasons::family;

/// Range and middle; route by route where their ceilings differ, because one range would hide it.
pub fn spread(given: &Given) -> String {
    let one = |low: f64, high: f64, middle: f64| {
        let low = fixed(100.0 * low, 1);
        let [high, middle] = [high, middle].map(|share| percent(share, 1));
        format!("{low} to {high}, {middle} in the middle")
    };
    if given.by_ceiling.is_empty() {
        return one(given.low, given.high, given.middle);
    }
    let routes = given.by_ceiling.iter().map(|route| {
        let spread = one(route.low, route.high, route.middle);
        let ceiling = percent(route.ceiling, 1);
        format!("{spread} by {}, which allows {ceiling}", route.level)
    });
    joined(routes, "; ")
}

/// `0.60 to 1.23`: half the width of the interval of one yield, in points.
pub fn reach(given: &Given) -> String {
    let [low, _, high] = given.half_widths.map(|half| 100.0 * half);
    let [low, high] = [low, high].map(|half| fixed(half, decimals_for(low)));
    match low == high {
        true => low,
        false => format!("{low} to {high}"),
    }
}

/// What the runs gave, and how well that is known.
pub fn given_in_words(given: &Given) -> String {
    let main = given.main_source.as_ref().map(|source| {
        let family = family(&source.family);
        match source.share {
            share if share > 0.5 => format!(", and most of that is {family}"),
            share => format!(
                ", of which {family} takes the largest part of the variance, {}",
                percent(share, 0)
            ),
        }
    });
    let purity = given.purity_middle.map(|purity| percent(purity, 1));
    let purity = around(
        " Purity was ",
        &purity.unwrap_or_default(),
        " in the middle.",
    );
    let impossible = around(
        " ",
        &and_list(&given.impossible),
        " gave more than can be, so something in the entries is wrong; until it is corrected or set aside it spoils every answer below.",
    );
    let reach = reach(given);
    format!(
        "Contained yield {}; one run is known to ± {reach} points{}{}.{purity}{impossible}",
        spread(given),
        when(!given.not_stated.is_empty(), " at best"),
        main.unwrap_or_default()
    )
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
