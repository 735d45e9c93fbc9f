//! Questions 1 and 2 in short.
//!
//! In: what was found. Out: the answers for the first screen, names as they were logged.
//! This module never computes a yield.

use super::words::reach;
use crate::chemistry::AtomicWeights;
use crate::decide::{Family, Given, Went};
use crate::pipeline::Analysis;
use crate::report::print::{Brief, and_list, around, fixed, joined, percent, plus_minus, when};
use crate::report::reasons::family;

/// What the runs gave, and how well that is known.
pub fn given(given: &Given, brief: &mut Brief) {
    let spread = |low: f64, high: f64, middle: f64| {
        let [low, middle] = [low, middle].map(|share| fixed(100.0 * share, 1));
        format!("{low} to {}, middle {middle} %", percent(high, 1))
    };
    let purity = given.purity_middle.map(|purity| percent(purity, 1));
    let purity = around("; purity middle ", &purity.unwrap_or_default(), "");
    if given.by_ceiling.is_empty() {
        let spread = spread(given.low, given.high, given.middle);
        brief.say(&format!("contained yield {spread}{purity}"));
    } else {
        brief.clauses(given.by_ceiling.iter().map(|route| {
            let spread = spread(route.low, route.high, route.middle);
            let ceiling = (route.ceiling < 1.0).then(|| percent(route.ceiling, 1));
            let ceiling = around(", of at most ", &ceiling.unwrap_or_default(), "");
            format!("{} gave {spread}{ceiling}", route.level)
        }));
        brief.say(purity.trim_start_matches("; "));
    }
    let main = given.main_source.as_ref().map(|source| {
        let much = when(source.share > 0.5, "mostly ");
        (
            &source.family,
            format!(", {much}{}", family(&source.family)),
        )
    });
    for of in &given.second {
        let spread = spread(of.low, of.high, of.middle);
        brief.say(&format!("yield of {} {spread}", of.level));
    }
    // Nothing but atomic weights has a known error: then what is not stated is all that counts.
    let weights = Family::Source(AtomicWeights::BUDGET_NAME.into());
    match (main, given.not_stated.split_first()) {
        (Some((of, _)), Some((first, more))) if *of == weights => {
            let more = match more.len() {
                0 => String::new(),
                more => format!(" and {more} more"),
            };
            brief.say(&format!(
                "the ± of one yield is not known: none is stated for {first}{more}"
            ));
        }
        (main, unknown) => brief.say(&format!(
            "one yield is known to ± {} points{}{}",
            reach(given),
            when(unknown.is_some(), " at best"),
            main.map(|(_, words)| words).unwrap_or_default()
        )),
    }
}

/// Where the rest went, and whether another crop is worth boiling for.
pub fn went(analysis: &Analysis, went: &Went, brief: &mut Brief) {
    let (mut parts, mut unmeasured) = (Vec::new(), Vec::new());
    for (name, part) in [
        ("crops", went.crops),
        ("residue", went.residue),
        ("mother liquor", went.liquor),
    ] {
        match part.middle {
            Some(middle) => parts.push(format!("{} {name}", percent(middle, 1))),
            None => unmeasured.push(format!("the {name}")),
        }
    }
    let rest = went.unaccounted.middle.map(|rest| percent(rest, 1));
    let rest = around("; ", &rest.unwrap_or_default(), " nowhere");
    let chemistry = analysis.campaign.chemistry.as_ref();
    let followed = chemistry.map(|chemistry| format!("of the {}, ", chemistry.followed));
    let parts = joined(parts, ", ");
    brief.say(&format!("{}{parts}{rest}", followed.unwrap_or_default()));
    brief.say(&around("", &and_list(unmeasured), " was never measured"));
    let liquors = analysis.findings.liquors.as_ref();
    if let Some((liquors, next)) = liquors.and_then(|known| Some((known, known.next?))) {
        let bound = when(liquors.common_ion.is_some(), ", an upper bound");
        brief.say(&format!(
            "boiling the last liquor to half would bring {} g in the middle run{bound}",
            plus_minus(next.mass, analysis.coverage_factor() * next.uncertainty)
        ));
    }
}
