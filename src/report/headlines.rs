//! The headline of each answer: what a question comes to, in a few sentences.
//!
//! In: an analysis, one of its answers, and how names are made harmless. Out: text without title and status.
//! This module never judges: whether an answer stands comes with it.

use super::aim_words::Naming;
use super::answer_words::{reason, to_do};
use super::numbers::fixed;
use super::reasons::family;
use super::words::{and_list, capital, count};
use super::{
    another_crop, cost_section, drift_headline, effects_line, next_headline, recycle_words,
    route_words, settings_words,
};
use crate::answers::{Answer, Question, WhyOpen};
use crate::decide::{Gap, Given, Went};
use crate::pipeline::Analysis;

/// What a question comes to; where there is no answer, why, and what is said all the same.
pub(super) fn headline(analysis: &Analysis, answer: &Answer, naming: Naming) -> String {
    let findings = &analysis.findings;
    let found = match &answer.question {
        Question::Given => findings.given.as_ref().map(|known| given(known, naming)),
        Question::Went => findings.went.as_ref().map(|known| {
            let doubt = answer.reason.as_ref().map_or_else(String::new, |why| {
                format!(" {}: see the doubts.", capital(&reason(why, naming)))
            });
            format!("{}{doubt}", went(analysis, known))
        }),
        Question::Moves(position) => {
            let moves = position.and_then(|position| findings.moves.get(position));
            moves.map(|moves| effects_line::headline(analysis, moves, naming))
        }
        Question::Routes => {
            let routes = findings.routes.as_ref();
            routes.map(|routes| route_words::headline(routes, naming))
        }
        Question::Residue => findings
            .residue_is_asked
            .then(|| recycle_words::answer(&findings.recycling, naming)),
        Question::Settings => match &findings.settings {
            Some(Ok(best)) => Some(settings_words::headline(best, &findings.recycling, naming)),
            Some(Err(gaps)) => {
                Gap::that_stops(gaps).map(|gap| settings_words::nothing(gap, naming))
            }
            None => None,
        },
        Question::Next => match &analysis.next {
            Some(Ok(plan)) => Some(next_headline::headline(analysis, plan, naming)),
            _ => None,
        },
        Question::Drift => {
            let charted = !analysis.drift.series.is_empty();
            charted.then(|| {
                let text = drift_headline::headline(&analysis.drift, naming);
                match &answer.reason {
                    Some(WhyOpen::FewRuns) => {
                        format!("{text} {}.", capital(&reason(&WhyOpen::FewRuns, naming)))
                    }
                    _ => text,
                }
            })
        }
        Question::Cost => match analysis
            .costs
            .as_ref()
            .map(|costs| (costs, &costs.campaign))
        {
            Some((costs, Ok(campaign))) => {
                Some(cost_section::headline(analysis, costs, campaign, naming))
            }
            Some((costs, Err(_))) => {
                let why = answer
                    .reason
                    .as_ref()
                    .map_or_else(String::new, |why| reason(why, naming));
                let not_counted = cost_section::not_counted(costs, naming);
                Some(format!("Cannot be said: {why}.{not_counted}"))
            }
            None => None,
        },
    };
    found.unwrap_or_else(|| nothing(answer, naming))
}

/// Why there is nothing to say, and what would help.
fn nothing(answer: &Answer, naming: Naming) -> String {
    let why = answer
        .reason
        .as_ref()
        .map_or_else(String::new, |why| reason(why, naming));
    let help = answer.to_do.first().map_or_else(String::new, |first| {
        format!(" {}.", capital(&to_do(first, naming)))
    });
    format!("{}.{help}", capital(&why))
}

/// Range and middle; route by route where their ceilings differ, because one range would hide it.
pub(super) fn spread(given: &Given, naming: Naming) -> String {
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

fn given(given: &Given, naming: Naming) -> String {
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

fn went(analysis: &Analysis, went: &Went) -> String {
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
    let crop = crop.and_then(|known| another_crop::sentence(known, analysis.coverage_factor()));
    let crop = crop.map_or_else(String::new, |text| format!(" {text}"));
    format!(
        "In the middle of {}: {}{}{missing}.{crop}",
        count(went.runs, "run"),
        parts.join(", "),
        rest.map_or_else(String::new, |rest| format!(", {rest}")),
    )
}
