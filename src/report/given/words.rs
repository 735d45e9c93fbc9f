//! Questions 1 and 2 in words: what the runs gave, and where the rest went.
//!
//! In: what was found, and how names are made harmless. Out: sentences and pieces of them.
//! This module never computes a yield.

use crate::decide::{Given, Liquors, Went};
use crate::pipeline::Analysis;
use crate::report::print::{Naming, and_list, count, fixed, plus_minus};
use crate::report::reasons::family;

/// Range and middle; route by route where their ceilings differ, because one range would hide it.
pub fn spread(given: &Given, naming: Naming) -> String {
    let one = |low: f64, high: f64, middle: f64| {
        format!(
            "{} to {} %, {} % in the middle",
            fixed(100.0 * low, 1),
            fixed(100.0 * high, 1),
            fixed(100.0 * middle, 1)
        )
    };
    if given.by_ceiling.is_empty() {
        return one(given.low, given.high, given.middle);
    }
    let parts: Vec<String> = given
        .by_ceiling
        .iter()
        .map(|route| {
            format!(
                "{} by {}, which allows {} %",
                one(route.low, route.high, route.middle),
                naming(&route.level),
                fixed(100.0 * route.ceiling, 1)
            )
        })
        .collect();
    parts.join("; ")
}

/// The answer to question 1.
pub fn given(given: &Given, naming: Naming) -> String {
    let main = match &given.main_source {
        Some(source) if source.share > 0.5 => {
            format!(", and most of that is {}", naming(&family(&source.family)))
        }
        Some(source) => format!(
            ", of which {} takes the largest part of the variance, {} %",
            naming(&family(&source.family)),
            fixed(100.0 * source.share, 0)
        ),
        None => String::new(),
    };
    let purity = match given.purity_middle {
        Some(purity) => format!(" Purity was {} % in the middle.", fixed(100.0 * purity, 1)),
        None => String::new(),
    };
    let impossible = if given.impossible.is_empty() {
        String::new()
    } else {
        let names: Vec<String> = given.impossible.iter().map(|run| naming(run)).collect();
        format!(
            " {} gave more than can be, so something in the entries is wrong; until it is corrected or set aside it spoils every answer below.",
            and_list(&names)
        )
    };
    let best = if given.not_stated.is_empty() {
        ""
    } else {
        "at best "
    };
    format!(
        "Contained yield {}; one run is known to {best}± {} points{main}.{purity}{impossible}",
        spread(given, naming),
        fixed(100.0 * given.half_width_middle, 1),
    )
}

/// The answer to question 2.
pub fn went(analysis: &Analysis, went: &Went) -> String {
    let mut parts: Vec<String> = Vec::new();
    let mut unmeasured: Vec<String> = Vec::new();
    for (name, part) in [
        ("the crops", went.crops),
        ("the mother liquor", went.liquor),
        ("the residue", went.residue),
    ] {
        match part.middle {
            Some(middle) => parts.push(format!("{} % in {name}", fixed(100.0 * middle, 1))),
            None => unmeasured.push(name.to_string()),
        }
    }
    let rest = went
        .unaccounted
        .middle
        .map(|rest| format!("{} % nowhere that anyone measured", fixed(100.0 * rest, 1)));
    let missing = if unmeasured.is_empty() {
        String::new()
    } else {
        format!("; {} never measured", and_list(&unmeasured))
    };
    let crop = analysis.findings.liquors.as_ref();
    let crop = crop.and_then(|known| another_crop(known, analysis.coverage_factor()));
    let crop = crop.map_or_else(String::new, |text| format!(" {text}"));
    format!(
        "In the middle of {}: {}{}{missing}.{crop}",
        count(went.runs, "run"),
        parts.join(", "),
        rest.map_or_else(String::new, |rest| format!(", {rest}")),
    )
}

/// Whether another crop is worth boiling for, in one sentence.
pub fn another_crop(liquors: &Liquors, factor: f64) -> Option<String> {
    let next = liquors.next?;
    let kept = liquors.kept?;
    let bound = if liquors.common_ion.is_some() {
        "at most "
    } else {
        ""
    };
    Some(format!(
        "Plain solubility keeps {bound}{} % of theory in the last liquor; boiling it down to half would bring a further crop of {bound}{} g, {} % of theory.",
        fixed(100.0 * kept, 1),
        plus_minus(next.mass, factor * next.uncertainty),
        fixed(100.0 * next.of_theory, 1),
    ))
}
