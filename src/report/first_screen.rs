//! The first screen: the answers, before any table.
//!
//! In: an analysis. Out: one line a question, in plain words, with the figure, its ± and where it stands.
//! This module never answers a question that the log does not answer: it says what would.

use super::another_crop;
use super::cautions;
use super::cost_section;
use super::drift_section;
use super::effects_line::what_moves;
use super::escape::markdown;
use super::next_section;
use super::numbers::fixed;
use super::print::page::Page;
use super::reasons::family;
use super::recycle_section;
use super::route_words;
use super::settings_words;
use super::shown::Shown;
use super::words::{and_list, capital, count, sentence};
use crate::caveat::CaveatKind;
use crate::decide::{Effect, Given, ModelOf};
use crate::pipeline::Analysis;

/// Writes the title, the paragraph of answers and one line a question.
pub(super) fn write(page: &mut Page, analysis: &Analysis) {
    let campaign = &analysis.campaign;
    page.heading(1, &markdown(&campaign.title));
    page.paragraph(&cautions::opening(&campaign.hazards));
    let confidence = campaign
        .model
        .as_ref()
        .map_or(0.95, |model| model.confidence);
    page.paragraph(&format!(
        "{} of {} used{}. Intervals are {} %: the figure behind ± is half the width of one.",
        analysis.runs.used(),
        count(analysis.runs.lines, "run"),
        left_out(analysis),
        fixed(100.0 * confidence, 0)
    ));
    page.paragraph(&in_one_paragraph(analysis));
    let mut lines: Vec<String> = Vec::new();
    lines.extend(given(analysis));
    lines.extend(went(analysis));
    for moves in &analysis.answers.moves {
        lines.push(what_moves(analysis, moves));
    }
    lines.extend(analysis.answers.routes.as_ref().map(route_words::line));
    lines.extend(recycle_section::line(analysis));
    lines.extend(settings(analysis));
    lines.extend(next_section::first_line(analysis));
    lines.extend(drift_section::line(&analysis.drift));
    lines.extend(cost_section::line(analysis));
    page.list(&lines);
}

fn left_out(analysis: &Analysis) -> String {
    match analysis.runs.left_out_lines {
        0 => String::new(),
        n => format!("; {n} left out, [listed at the end](#left-out)"),
    }
}

/// How many findings the first paragraph tells.
const MOST_FINDINGS: usize = 4;

/// The largest findings as running text.
fn in_one_paragraph(analysis: &Analysis) -> String {
    let mut sentences: Vec<String> = Vec::new();
    if let Some(given) = &analysis.answers.given {
        sentences.push(format!("Run by run, contained yield was {}", spread(given)));
    }
    for moves in analysis
        .answers
        .moves
        .iter()
        .filter(|m| m.kind == ModelOf::Yield)
    {
        let shown = Shown::of(&moves.unit);
        let mut seen: Vec<&Effect> = moves.effects.iter().collect();
        seen.sort_by(|a, b| size(b).total_cmp(&size(a)));
        sentences.extend(
            seen.into_iter()
                .filter_map(|effect| sentence(effect, &shown))
                .map(|text| capital(&text))
                .take(MOST_FINDINGS),
        );
    }
    sentences
        .iter()
        .map(|text| format!("{text}. "))
        .collect::<String>()
        .trim_end()
        .to_string()
}

/// Range and middle; route by route where their ceilings differ, because one range would hide it.
fn spread(given: &Given) -> String {
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
                markdown(&route.level),
                fixed(100.0 * route.ceiling, 1)
            )
        })
        .collect();
    parts.join("; ")
}

fn size(effect: &Effect) -> f64 {
    effect.estimate.as_ref().map_or(0.0, |e| e.value.abs())
}

fn given(analysis: &Analysis) -> Option<String> {
    let given = analysis.answers.given.as_ref()?;
    let main = match &given.main_source {
        Some(source) if source.share > 0.5 => {
            format!(
                ", and most of that is {}",
                markdown(&family(&source.family))
            )
        }
        Some(source) => format!(
            ", of which {} takes the largest part of the variance, {} %",
            markdown(&family(&source.family)),
            fixed(100.0 * source.share, 0)
        ),
        None => String::new(),
    };
    let purity = match given.purity_middle {
        Some(purity) => format!(" Purity was {} % in the middle.", fixed(100.0 * purity, 1)),
        None => String::new(),
    };
    let (impossible, state) = if given.impossible.is_empty() {
        (String::new(), "settled")
    } else {
        let names: Vec<String> = given.impossible.iter().map(|run| markdown(run)).collect();
        (
            format!(
                " {} gave more than can be, so something in the entries is wrong; until it is corrected or set aside it spoils every answer below.",
                and_list(&names)
            ),
            "open",
        )
    };
    let best = if given.not_stated.is_empty() {
        ""
    } else {
        "at best "
    };
    Some(format!(
        "**1 What did the runs give?** Contained yield {}; one run is known to {}± {} points{main}.{purity}{impossible} *{state}*",
        spread(given),
        best,
        fixed(100.0 * given.half_width_middle, 1),
    ))
}

fn went(analysis: &Analysis) -> Option<String> {
    let went = analysis.answers.went.as_ref()?;
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
    let above = analysis
        .caveats
        .iter()
        .filter(|caveat| caveat.kind() == CaveatKind::ClosureAboveOne)
        .count();
    let (doubt, state) = match above {
        0 => (String::new(), "settled"),
        n => (
            format!(
                " In {} more came out than went in: see the doubts below.",
                count(n, "run")
            ),
            "settled, with a doubt",
        ),
    };
    Some(format!(
        "**2 Where did the rest go?** In the middle of {}: {}{}{missing}.{}{doubt} *{state}*",
        count(went.runs, "run"),
        parts.join(", "),
        rest.map_or_else(String::new, |rest| format!(", {rest}")),
        analysis
            .answers
            .liquors
            .as_ref()
            .and_then(|liquors| another_crop::sentence(liquors, analysis.coverage_factor()))
            .map_or_else(String::new, |text| format!(" {text}")),
    ))
}

/// The best settings, or the first thing that is missing for them.
fn settings(analysis: &Analysis) -> Option<String> {
    Some(match analysis.answers.settings.as_ref()? {
        Ok(best) => settings_words::line(best, &analysis.answers.recycling),
        Err(gaps) => settings_words::nothing(gaps.first()?),
    })
}
